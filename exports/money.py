"""Amounts in minor units, as a spreadsheet shows them."""

from decimal import Decimal

from babel.numbers import get_currency_precision


def digits(currency: str) -> int:
    """Digits behind the point of a currency: CLDR, through babel; 2 where the code is unknown."""
    return get_currency_precision(currency)


def major(amount_minor: float, currency: str) -> Decimal:
    """The amount in the currency itself: 1250 of EUR is 12.50."""
    return Decimal(round(amount_minor)).scaleb(-digits(currency))


def money_text(amount_minor: float, currency: str) -> str:
    """The amount as text with its currency, such as ``1,012.50 EUR``."""
    return f"{major(amount_minor, currency):,.{digits(currency)}f} {currency}"


def number_format(currency: str) -> str:
    """The spreadsheet's number format for amounts of a currency."""
    places = digits(currency)
    return "#,##0" + ("." + "0" * places if places else "") + f'" {currency}"'
