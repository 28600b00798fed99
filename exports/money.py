"""Amounts in minor units, as a spreadsheet shows them."""

from decimal import Decimal

_WHOLE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THOUSANDTHS = "BHD IQD JOD KWD LYD OMR TND"
EXPONENTS = {**dict.fromkeys(_WHOLE.split(), 0), **dict.fromkeys(_THOUSANDTHS.split(), 3), "CLF": 4, "UYW": 4}
"""Currencies of ISO 4217 whose minor unit is not a hundredth (from memory)."""


def digits(currency: str) -> int:
    """Digits behind the point of a currency by ISO 4217, 2 where the code is unknown.

    The CLDR shows some currencies with fewer, such as RSD with none: amounts would be a hundredfold.
    """
    return EXPONENTS.get(currency, 2)


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
