"""The forms of an account; several stand on one page, so their fields are told apart by a prefix."""

from __future__ import annotations

from sqlalchemy.orm import Session
from wtforms import RadioField, SelectMultipleField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from desk.queries.money.charges import BY_HAND, METHODS
from desk.queries.money.payer_totals import payer_choices
from desk.services.money import payers
from desk.services.money.invoices import LONGEST_PAYER
from desk.web import context
from desk.web.forms import DeskForm, MoneyField, options, row_number


def payers_to_choose(player_id: int | None = None, *, but: int | None = None) -> list[tuple[str, str]]:
    """Return who may pay, for one player or for any, as the choices of a field: contacts, and the desk's own payers."""
    found = payer_choices(context.reading(), context.current_event(), player_id)
    kinds = {kind for _, _, kind in found}
    offices = [(kind, name) for kind, name in payers.OFFICES.items() if kind not in kinds]
    return [*((str(number), name) for number, name, _ in found if number != but), *offices]


def payer_chosen(session: Session, choice: str) -> int | None:
    """Return the contact behind a choice of `payers_to_choose`; None where none is."""
    if choice in payers.OFFICES:
        return payers.office(session, context.event_id(), choice, acting=context.acting()).id
    return row_number(choice)


class AmountForm(DeskForm):
    amount = MoneyField("Amount", [InputRequired("give the amount"), Length(max=20)])


class SettleForm(AmountForm):
    method = RadioField("By", choices=options(METHODS.items()), validators=[InputRequired("choose how it was paid")])


class ChargeForm(AmountForm):
    text = StringField("What for", [InputRequired("say what for"), Length(max=120)])


class ReasonForm(AmountForm):
    reason = StringField("Why", [InputRequired("say why"), Length(max=120)])


class LetPayForm(DeskForm):
    charges = SelectMultipleField("Charges", coerce=int, validate_choice=False)
    payer = RadioField("Who pays them", validators=[InputRequired("choose who pays")])


class InvoiceForm(DeskForm):
    payer = TextAreaField("Who pays", [InputRequired("say who pays"), Length(max=LONGEST_PAYER)])


def pay_form(*, of_payer: bool, prefix: str = "", **given) -> SettleForm:
    """Return the form of a payment; a payer other than a player pays in money."""
    form = SettleForm(prefix=prefix, **given)
    if of_payer:
        form.method.choices = options((method, METHODS[method]) for method in BY_HAND)
    return form


def charge_form(**given) -> ChargeForm:
    return ChargeForm(prefix="more-", **given)


def correct_form(**given) -> ReasonForm:
    return ReasonForm(prefix="correct-", **given)


def off_form(**given) -> ReasonForm:
    return ReasonForm(prefix="off-", **given)


def invoice_form(**given) -> InvoiceForm:
    return InvoiceForm(prefix="invoice-", **given)
