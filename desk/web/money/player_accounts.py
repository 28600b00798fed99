"""A player's account: charges, corrections as further lines, payments, what is paid back or written off."""

from __future__ import annotations

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response as Sent
from wtforms import RadioField, StringField
from wtforms.validators import InputRequired, Length

from desk.errors import BadInput
from desk.models import Player
from desk.queries.money.charges import METHODS, account
from desk.queries.money.invoices import charges_to_invoice, invoice_rows
from desk.services.money import charges
from desk.services.of_event import find_of
from desk.trade.errors import TradeError
from desk.trade.event.money import parse_money
from desk.web import context, display
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.money.invoices import InvoiceForm

blueprint = Blueprint("charges", __name__)
AMOUNT = [InputRequired("give the amount"), Length(max=20)]


class AmountForm(DeskForm):
    amount = StringField("Amount", AMOUNT)

    def minor(self) -> int:
        try:
            return parse_money(self.amount.data, context.head().currency).minor
        except TradeError as error:
            raise BadInput(str(error), fields={"amount": "write the amount like 12.50"}) from error


class SettleForm(AmountForm):
    method = RadioField("By", choices=options(METHODS.items()), validators=[InputRequired("choose how it was paid")])


class ChargeForm(AmountForm):
    text = StringField("What for", [InputRequired("say what for"), Length(max=120)])


class CorrectForm(AmountForm):
    reason = StringField("Why", [InputRequired("say why"), Length(max=120)])


class WriteOffForm(AmountForm):
    reason = StringField("Why", [InputRequired("say why"), Length(max=120)])


# Several forms of one page each have an amount, so their fields are told apart.
def _charge_form(**given) -> ChargeForm:
    return ChargeForm(prefix="more-", **given)


def _correct_form(**given) -> CorrectForm:
    return CorrectForm(prefix="correct-", **given)


def _back_form(**given) -> SettleForm:
    return SettleForm(prefix="back-", **given)


def _off_form(**given) -> WriteOffForm:
    return WriteOffForm(prefix="off-", **given)


def _page(player_id: int, **sent: DeskForm):
    session, event = context.reading(), context.current_event()
    found = account(session, event, find_of(session, event, Player, player_id, "player"))
    amount = {"amount": display.amount(abs(found.open_minor), event.currency).replace(",", "")}
    forms = {
        "pay": SettleForm(formdata=None, data=amount),
        "back": _back_form(formdata=None, data=amount),
        "off": _off_form(formdata=None, data=amount),
        "more": _charge_form(formdata=None),
        "correct": _correct_form(formdata=None),
        "correcting": None,
        "invoice": InvoiceForm(formdata=None, prefix="invoice-", data={"payer": found.player_name}),
    } | sent
    invoices = invoice_rows(session, event, player_id=player_id)
    waiting = charges_to_invoice(session, event, player_id)
    return show(
        "players/account.html", account=found, methods=METHODS, invoices=invoices, to_invoice=len(waiting), **forms
    )


@blueprint.get("/players/<int:player_id>/account")
def page(player_id: int):
    return _page(player_id, correcting=request.args.get("line", type=int))


@blueprint.post("/players/<int:player_id>/account/pay")
def settle(player_id: int):
    form = SettleForm()
    if form.validate_on_submit():
        with saving(form, "The payment is booked.") as session:
            charges.settle(
                session, context.event_id(), player_id, form.minor(), method=form.method.data, acting=context.acting()
            )
            return see(url_for("charges.page", player_id=player_id))
    return _page(player_id, pay=form)


@blueprint.post("/players/<int:player_id>/account/pay-back")
def pay_back(player_id: int):
    form = _back_form()
    if form.validate_on_submit():
        with saving(form, "It is booked as paid back.") as session:
            charges.refund(
                session, context.event_id(), player_id, form.minor(), method=form.method.data, acting=context.acting()
            )
            return see(url_for("charges.page", player_id=player_id))
    return _page(player_id, back=form)


@blueprint.post("/players/<int:player_id>/account/write-off")
def write_off(player_id: int):
    form = _off_form()
    if form.validate_on_submit():
        with saving(form, "Written off; the line stays on the account.") as session:
            charges.write_off(
                session, context.event_id(), player_id, form.minor(), reason=form.reason.data, acting=context.acting()
            )
            return see(url_for("charges.page", player_id=player_id))
    return _page(player_id, off=form)


@blueprint.post("/players/<int:player_id>/account/charge")
def add(player_id: int):
    form = _charge_form()
    if form.validate_on_submit():
        with saving(form, "Charged.") as session:
            charges.add_charge(
                session, context.event_id(), player_id, form.minor(), acting=context.acting(), text=form.text.data
            )
            return see(url_for("charges.page", player_id=player_id))
    return _page(player_id, more=form)


@blueprint.post("/players/<int:player_id>/account/<int:charge_id>/correct")
def correct(player_id: int, charge_id: int):
    form = _correct_form()
    if form.validate_on_submit():
        with saving(form, "Corrected by a new line; the first line stays.") as session:
            charges.correct_charge(
                session, context.event_id(), charge_id, form.minor(), acting=context.acting(), reason=form.reason.data
            )
            return see(url_for("charges.page", player_id=player_id))
    return _page(player_id, correct=form, correcting=charge_id)


@blueprint.post("/players/<int:player_id>/account/payment/<int:settlement_id>/back")
def take_back(player_id: int, settlement_id: int) -> Sent:
    with context.writing() as session:
        charges.take_back_settlement(session, context.event_id(), settlement_id, acting=context.acting())
    flash("The payment is taken back by a new line.")
    return see(url_for("charges.page", player_id=player_id))
