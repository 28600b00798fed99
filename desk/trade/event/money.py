"""Money as integer minor units of an ISO 4217 currency; sums never mix currencies.

A currency's exponent is that of ISO 4217:2015 (the Unicode CLDR, by which Babel formats, shows some currencies
with fewer places). Rounding is half to even, once for each line.
"""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, InvalidOperation
from functools import lru_cache

from babel.core import Locale, UnknownLocaleError
from babel.numbers import NumberFormatError, list_currencies, parse_decimal

from desk.trade.errors import MoneyError
from desk.trade.racquet.units import decimal_point

_WHOLE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THOUSANDTHS = "BHD IQD JOD KWD LYD OMR TND"
EXPONENTS = {
    **dict.fromkeys(_WHOLE.split(), 0),
    **dict.fromkeys(_THOUSANDTHS.split(), 3),
    "CLF": 4,
    "UYW": 4,
}
"""Currencies of ISO 4217 whose minor unit is not a hundredth (from memory)."""


@dataclass(frozen=True)
class Money:
    """An amount in minor units: Money(1250, "EUR") is 12.50 euros."""

    minor: int
    currency: str

    def __post_init__(self) -> None:
        check_currency(self.currency)

    def __add__(self, other: "Money") -> "Money":
        return Money(self.minor + self._same(other).minor, self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.minor - self._same(other).minor, self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.minor, self.currency)

    def times(self, factor: Decimal | int) -> "Money":
        """The amount times a factor, e.g. metres of string, rounded half to even."""
        return Money(int((self.minor * Decimal(factor)).quantize(Decimal(1), ROUND_HALF_EVEN)), self.currency)

    @property
    def major(self) -> Decimal:
        """The amount in the currency's main unit, exact."""
        return Decimal(self.minor).scaleb(-exponent(self.currency))

    def display(self, locale: str = "en") -> str:
        """As the locale writes it: "€12.50", "12,50 €"."""
        try:
            found = Locale.parse(locale)
        except (UnknownLocaleError, ValueError) as error:
            raise MoneyError(f'"{locale}" is no locale', "Money", 'Write it like "de_AT".') from error
        pattern = copy(found.currency_formats["standard"])
        pattern.frac_prec = (exponent(self.currency),) * 2
        return str(pattern.apply(self.major, found, currency=self.currency, currency_digits=False))

    def _same(self, other: "Money") -> "Money":
        if other.currency != self.currency:
            raise MoneyError(
                f"{self.currency} and {other.currency} in one sum", "Money", "Keep an account in one currency."
            )
        return other


@dataclass(frozen=True)
class Taxed:
    """An amount split: net and tax make gross, to the minor unit."""

    net: Money
    tax: Money

    @property
    def gross(self) -> Money:
        """Net and tax."""
        return self.net + self.tax


def check_currency(currency: str) -> str:
    """The currency's code; one that Babel's list of ISO 4217 does not hold is refused."""
    if currency not in _currencies():
        raise MoneyError(f'"{currency}" is no currency', "Money", "Take a code of ISO 4217, such as EUR.")
    return currency


def exponent(currency: str) -> int:
    """Decimal places of the currency's minor unit."""
    return EXPONENTS.get(check_currency(currency), 2)


@lru_cache(maxsize=1)
def _currencies() -> frozenset[str]:
    return frozenset(list_currencies())


def parse_money(text: str, currency: str, locale: str = "en") -> Money:
    """Read "12.50" as the locale writes it, and "12,50" likewise where that can mean nothing else.

    More places than the currency has are refused, not rounded.
    """
    typed = decimal_point(text)
    try:
        amount = parse_decimal(typed, locale=locale if typed == text.strip() else "en", strict=True)
    except (NumberFormatError, InvalidOperation, ValueError) as error:
        raise MoneyError(f'"{text.strip()}" is no amount', "Money", "Write it like 12.50.") from error
    minor = amount.scaleb(exponent(currency)) if amount.is_finite() else Decimal("0.5")
    if minor != minor.to_integral_value():
        raise MoneyError(
            f'"{text.strip()}" is no amount of {currency}', "Money", f"It has {exponent(currency)} decimal places."
        )
    return Money(int(minor), currency)


def total(amounts: Iterable[Money], currency: str) -> Money:
    """The sum of amounts, all in `currency`; nothing sums to 0."""
    result = Money(0, currency)
    for amount in amounts:
        result = result + amount
    return result


def tax_within(gross: Money, per_cent: Decimal) -> Taxed:
    """Split a price that has its tax in it: net is gross / (1 + rate), rounded half to even, tax the rest."""
    rate = _rate(per_cent)
    net = int((gross.minor / (1 + rate)).quantize(Decimal(1), ROUND_HALF_EVEN))
    return Taxed(Money(net, gross.currency), Money(gross.minor - net, gross.currency))


def per_cent_of(basis_points: int) -> Decimal:
    """A rate that is kept in hundredths of a per cent, in per cent."""
    return Decimal(basis_points) / 100


def _rate(per_cent: Decimal) -> Decimal:
    if not 0 <= per_cent <= 100:
        raise MoneyError(f"A tax of {per_cent} %", "Tax", "Give 0 to 100 per cent.")
    return per_cent / 100
