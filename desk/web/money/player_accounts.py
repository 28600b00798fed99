"""The account of a player, or of a contact that pays: charges, who pays them, payments, what is paid back.

Each view has two addresses; `whose` is the player's or the contact's number as it stands there.
"""

from __future__ import annotations

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response as Sent

from desk.queries.money.charges import METHODS, account
from desk.queries.money.holders import Holder
from desk.queries.money.invoices import charges_to_invoice, invoice_rows
from desk.services.money import charges, payments
from desk.services.money.payers import let_pay
from desk.services.money.payments import holder_of
from desk.web import context, display
from desk.web.forms import DeskForm, options, saved, saving, see, show
from desk.web.money import account_forms

blueprint = Blueprint("charges", __name__)
PLAYERS, PAYERS = "/players/<int:player_id>/account", "/payers/<int:contact_id>"
TO_PLAYER = "player"


def holder_at(whose: dict[str, int]) -> Holder:
    """Return whose account an address names."""
    return Holder(player_id=whose.get("player_id"), payer_id=whose.get("contact_id"))


def _seen(whose: dict[str, int]) -> Sent:
    return see(url_for("charges.page", **whose))


def _page(whose: dict[str, int], **sent: DeskForm):
    session, event = context.reading(), context.current_event()
    found = account(session, event, holder_of(session, event, holder_at(whose)))
    amount = {"amount": display.amount(abs(found.open_minor), event.currency).replace(",", "")}
    shown = {
        "pay": _pay_form(whose, formdata=None, data=amount),
        "back": _back_form(whose, formdata=None, data=amount),
        "off": account_forms.off_form(formdata=None, data=amount),
        "more": account_forms.charge_form(formdata=None),
        "correct": account_forms.correct_form(formdata=None),
        "correcting": None,
        "invoice": account_forms.invoice_form(formdata=None, data={"payer": found.name}),
        "other": _other_form(whose, formdata=None),
    } | sent
    bills = {
        "invoices": invoice_rows(session, event, holder=found.holder),
        "to_invoice": len(charges_to_invoice(session, event, found.holder)),
    }
    days = found.days(context.clock()) if found.holder.payer_id else ()
    return show("money/account.html", account=found, whose=whose, methods=METHODS, days=days, **bills, **shown)


def _pay_form(whose: dict[str, int], **given) -> account_forms.SettleForm:
    return account_forms.pay_form(of_payer="contact_id" in whose, **given)


def _back_form(whose: dict[str, int], **given) -> account_forms.SettleForm:
    return account_forms.pay_form(of_payer="contact_id" in whose, prefix="back-", **given)


def _other_form(whose: dict[str, int], **given) -> account_forms.LetPayForm:
    """Return the form by which somebody else pays, with whoever may."""
    form = account_forms.LetPayForm(prefix="other-", **given)
    others = account_forms.payers_to_choose(whose.get("player_id"), but=whose.get("contact_id"))
    form.payer.choices = options([(TO_PLAYER, "the player"), *others] if "contact_id" in whose else others)
    return form


@blueprint.get(PLAYERS)
@blueprint.get(PAYERS)
def page(**whose: int):
    return _page(whose, correcting=request.args.get("line", type=int))


@blueprint.post(f"{PLAYERS}/pay")
@blueprint.post(f"{PAYERS}/pay")
def settle(**whose: int):
    form = _pay_form(whose)
    how = {"method": form.method.data}
    if saved(form, "The payment is booked.", payments.settle, holder_at(whose), form.amount.minor, **how):
        return _seen(whose)
    return _page(whose, pay=form)


@blueprint.post(f"{PLAYERS}/pay-back")
@blueprint.post(f"{PAYERS}/pay-back")
def pay_back(**whose: int):
    form = _back_form(whose)
    how = {"method": form.method.data}
    if saved(form, "It is booked as paid back.", payments.refund, holder_at(whose), form.amount.minor, **how):
        return _seen(whose)
    return _page(whose, back=form)


@blueprint.post(f"{PLAYERS}/write-off")
@blueprint.post(f"{PAYERS}/write-off")
def write_off(**whose: int):
    form, done = account_forms.off_form(), "Written off; the line stays on the account."
    if saved(form, done, payments.write_off, holder_at(whose), form.amount.minor, reason=form.reason.data):
        return _seen(whose)
    return _page(whose, off=form)


@blueprint.post("/players/<int:player_id>/account/charge")
def add(player_id: int):
    form, whose = account_forms.charge_form(), {"player_id": player_id}
    if saved(form, "Charged.", charges.add_charge, player_id, form.amount.minor, text=form.text.data):
        return _seen(whose)
    return _page(whose, more=form)


@blueprint.post(f"{PLAYERS}/<int:charge_id>/correct")
@blueprint.post(f"{PAYERS}/<int:charge_id>/correct")
def correct(charge_id: int, **whose: int):
    form, done = account_forms.correct_form(), "Corrected by a new line; the first line stays."
    if saved(form, done, charges.correct_charge, charge_id, form.amount.minor, reason=form.reason.data):
        return _seen(whose)
    return _page(whose, correct=form, correcting=charge_id)


@blueprint.post(f"{PLAYERS}/let-pay")
@blueprint.post(f"{PAYERS}/let-pay")
def other_pays(**whose: int):
    form = _other_form(whose)
    if form.validate_on_submit():
        with saving(form, "It stands on the other account now; both keep the lines.") as session:
            payer_id = account_forms.payer_chosen(session, form.payer.data)
            let_pay(session, context.event_id(), form.charges.data or [], payer_id, acting=context.acting())
            return _seen(whose)
    return _page(whose, other=form)


@blueprint.post(f"{PLAYERS}/payment/<int:settlement_id>/back")
@blueprint.post(f"{PAYERS}/payment/<int:settlement_id>/back")
def take_back(settlement_id: int, **whose: int) -> Sent:
    context.do(payments.take_back_settlement, settlement_id)
    flash("The payment is taken back by a new line.")
    return _seen(whose)
