"""Invoices: made from a player's account, printed on A4, and taken away as a table."""

from __future__ import annotations

from flask import Blueprint, Response, flash, render_template, url_for
from werkzeug.wrappers import Response as Sent

from desk.errors import DeskError, NotFound
from desk.queries.money.invoices import InvoiceView, invoice_view
from desk.services.money.invoices import make_invoice
from desk.trade.event.money import Money
from desk.trade.racquet.units import plain
from desk.web import context
from desk.web.forms import see
from desk.web.money.account_forms import invoice_form
from desk.web.money.player_accounts import holder_at
from desk.web.table_files import csv_file

blueprint = Blueprint("invoices", __name__)


@blueprint.post("/players/<int:player_id>/invoice")
@blueprint.post("/payers/<int:contact_id>/invoice")
def make(**whose: int) -> Sent:
    try:
        number = context.do(make_invoice, holder_at(whose), payer=invoice_form().payer.data).number
    except NotFound:
        raise
    except DeskError as error:
        flash(str(error))
        return see(url_for("charges.page", **whose))
    return see(url_for("invoices.page", number=number))


@blueprint.get("/invoice/<int:number>")
def page(number: int) -> str:
    return render_template("counter/print/invoice.html", invoice=_view(number))


@blueprint.get("/invoice/<int:number>.csv")
def file(number: int) -> Response:
    found, currency = _view(number), context.head().currency
    head = ("invoice", "date", "player", "racquet", "what", "tax_pct", "net", "tax", "gross", "currency")
    about = found.name, context.clock().local(found.at).date().isoformat()
    rows = []
    for line, tag, player in found.lines:
        minors = line.amount_minor - line.tax_minor, line.tax_minor, line.amount_minor
        amounts = (f"{Money(minor, currency).major:f}" for minor in minors)
        rows.append((*about, player, tag, line.text, plain(line.tax_per_cent), *amounts, currency))
    return csv_file(found.name, [head, *rows])


def _view(number: int) -> InvoiceView:
    session, event = context.reading(), context.current_event()
    found = invoice_view(session, event, number)
    if found is None:
        raise NotFound(f"There is no invoice {number} at this event. Invoices stand on the accounts of their players.")
    return found
