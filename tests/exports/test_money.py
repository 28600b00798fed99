"""Amounts in a workbook have the digits of their currency, the same as at the desk."""

import pytest
from babel.numbers import list_currencies

from desk.trade.event.money import exponent
from exports.money import digits, major, money_text, number_format


def test_every_currency_has_the_digits_that_the_desk_gives_it():
    assert {currency: digits(currency) for currency in list_currencies()} == {
        currency: exponent(currency) for currency in list_currencies()
    }


@pytest.mark.parametrize(
    ("currency", "text", "form"),
    [
        ("EUR", "1,234.50 EUR", '#,##0.00" EUR"'),
        ("JPY", "123,450 JPY", '#,##0" JPY"'),
        ("KWD", "123.450 KWD", '#,##0.000" KWD"'),
        # The CLDR shows no digits for this one; ISO 4217 has two.
        ("RSD", "1,234.50 RSD", '#,##0.00" RSD"'),
    ],
)
def test_an_amount_is_written_to_its_minor_unit(currency, text, form):
    assert money_text(123_450, currency) == text
    assert number_format(currency) == form
    assert str(major(123_450, currency)) == text.split()[0].replace(",", "")
