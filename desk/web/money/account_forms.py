"""The forms of an account; several stand on one page, so their fields are told apart by a prefix."""

from __future__ import annotations

from wtforms import RadioField, SelectMultipleField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from desk.errors import BadInput
from desk.queries.money.charges import BY_HAND, METHODS
from desk.services.money.invoices import LONGEST_PAYER
from desk.trade.errors import TradeError
from desk.trade.event.money import parse_money
from desk.web import context
from desk.web.forms import DeskForm, options

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


def correct_form(**given) -> CorrectForm:
    return CorrectForm(prefix="correct-", **given)


def off_form(**given) -> WriteOffForm:
    return WriteOffForm(prefix="off-", **given)


def invoice_form(**given) -> InvoiceForm:
    return InvoiceForm(prefix="invoice-", **given)
