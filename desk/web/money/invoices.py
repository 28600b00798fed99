"""Invoices: made from a player's account, printed on A4, and taken away as a table."""

from __future__ import annotations

from flask import Blueprint, Response, flash, render_template, url_for
from werkzeug.wrappers import Response as Sent
from wtforms import TextAreaField
from wtforms.validators import InputRequired, Length

from desk.errors import DeskError, NotFound
from desk.queries.money.invoices import InvoiceView, invoice_view
from desk.services.money.invoices import LONGEST_PAYER, make_invoice
from desk.trade.event.money import Money
from desk.trade.racquet.units import plain
from desk.web import context
from desk.web.forms import DeskForm, see
from desk.web.players.players import csv_text

blueprint = Blueprint("invoices", __name__)


class InvoiceForm(DeskForm):
    payer = TextAreaField("Who pays", [InputRequired("say who pays"), Length(max=LONGEST_PAYER)])


@blueprint.post("/players/<int:player_id>/invoice")
def make(player_id: int) -> Sent:
    form = InvoiceForm(prefix="invoice-")
    try:
        with context.writing() as session:
            made = make_invoice(
                session, context.event_id(), player_id, payer=form.payer.data or "", acting=context.acting()
            )
            number = made.number
    except NotFound:
        raise
    except DeskError as error:
        flash(str(error))
        return see(url_for("charges.page", player_id=player_id))
    return see(url_for("invoices.page", number=number))


@blueprint.get("/invoice/<int:number>")
def page(number: int) -> str:
    return render_template("counter/print/invoice.html", invoice=_view(number))


@blueprint.get("/invoice/<int:number>.csv")
def file(number: int) -> Response:
    found, currency = _view(number), context.head().currency
    head = ("invoice", "date", "racquet", "what", "tax_pct", "net", "tax", "gross", "currency")
    about = found.name, context.clock().local(found.at).date().isoformat()
    rows = []
    for line, tag in found.lines:
        minors = line.amount_minor - line.tax_minor, line.tax_minor, line.amount_minor
        amounts = (f"{Money(minor, currency).major:f}" for minor in minors)
        rows.append((*about, tag, line.text, plain(line.tax_per_cent), *amounts, currency))
    named = {"Content-Disposition": f'attachment; filename="{found.name}.csv"'}
    return Response(csv_text([head, *rows]), mimetype="text/csv", headers=named)


def _view(number: int) -> InvoiceView:
    session, event = context.reading(), context.current_event()
    found = invoice_view(session, event, number)
    if found is None:
        raise NotFound(f"There is no invoice {number} at this event. Invoices stand on the accounts of their players.")
    return found
