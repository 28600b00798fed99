from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from desk.trade.errors import MoneyError
from desk.trade.event.money import Money, exponent, parse_money, tax_within, total

AMOUNTS = st.integers(-(10**9), 10**9)
RATES = st.decimals(0, 100, places=2)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("currency", "places"), [("EUR", 2), ("USD", 2), ("JPY", 0), ("KWD", 3), ("RSD", 2), ("ISK", 0), ("CLF", 4)]
)
def test_a_currency_has_the_places_of_iso_4217(currency, places):
    # ISO 4217:2015, minor units; from memory.
    assert exponent(currency) == places


@pytest.mark.parametrize("currency", ["", "eur", "EURO", "XQQ"])
def test_an_unknown_currency_is_refused(currency):
    with pytest.raises(MoneyError, match="is no currency"):
        Money(1, currency)


@pytest.mark.parametrize(
    ("money", "locale", "shown"),
    [
        (Money(1250, "EUR"), "en", "€12.50"),
        (Money(1250, "EUR"), "de_AT", "€\xa012,50"),
        (Money(2000, "JPY"), "en", "¥2,000"),
        (Money(12345, "KWD"), "en", "KWD12.345"),
        (Money(30050, "RSD"), "en", "RSD300.50"),
        (Money(-500, "USD"), "en", "-$5.00"),
    ],
)
def test_an_amount_is_shown_as_its_locale_writes_it(money, locale, shown):
    assert money.display(locale) == shown


def test_an_unknown_locale_is_refused():
    with pytest.raises(MoneyError, match="is no locale"):
        Money(1, "EUR").display("xx_nowhere")


@pytest.mark.parametrize(
    ("text", "currency", "locale", "minor"),
    [
        ("12.50", "EUR", "en", 1250),
        ("12,50", "EUR", "de", 1250),
        ("25", "EUR", "en", 2500),
        ("2000", "JPY", "en", 2000),
    ],
)
def test_an_amount_is_read_as_its_locale_writes_it(text, currency, locale, minor):
    assert parse_money(text, currency, locale) == Money(minor, currency)


@pytest.mark.parametrize(
    ("text", "currency"),
    [("12.505", "EUR"), ("1.5", "JPY"), ("", "EUR"), ("a lot", "EUR"), ("NaN", "EUR"), ("inf", "EUR")],
)
def test_an_amount_that_the_currency_cannot_hold_is_refused(text, currency):
    with pytest.raises(MoneyError, match="is no amount"):
        parse_money(text, currency)


@pytest.mark.parametrize(("text", "minor"), [("45,00", 4500), ("45,5", 4550), ("1,250", 125000), ("1,250.50", 125050)])
def test_a_comma_is_read_as_a_decimal_point_where_it_parts_no_thousands(text, minor):
    assert parse_money(text, "EUR") == Money(minor, "EUR")


def test_currencies_are_never_mixed():
    with pytest.raises(MoneyError, match="EUR and USD in one sum"):
        Money(1, "EUR") + Money(1, "USD")
    with pytest.raises(MoneyError, match="in one sum"):
        total([Money(1, "EUR"), Money(1, "JPY")], "EUR")


def test_nothing_sums_to_nothing():
    assert total([], "EUR") == Money(0, "EUR")


@given(st.lists(AMOUNTS, max_size=20))
def test_a_sum_is_exact_in_any_order(minors):
    amounts = [Money(minor, "EUR") for minor in minors]
    assert total(amounts, "EUR") == total(reversed(amounts), "EUR") == Money(sum(minors), "EUR")


@pytest.mark.parametrize(
    ("minor", "factor", "expected"), [(25, "0.1", 2), (35, "0.1", 4), (100, "11.3", 1130), (-25, "0.1", -2)]
)
def test_a_product_is_rounded_half_to_even(minor, factor, expected):
    assert Money(minor, "EUR").times(Decimal(factor)) == Money(expected, "EUR")


@given(AMOUNTS, RATES)
def test_net_and_tax_make_the_gross_price(minor, per_cent):
    taxed = tax_within(Money(minor, "EUR"), per_cent)
    assert taxed.gross == Money(minor, "EUR")
    assert abs(taxed.net.minor * (1 + per_cent / 100) - minor) <= Decimal("0.5") * (1 + per_cent / 100)


def test_twenty_per_cent_within_thirty_euros_is_five():
    taxed = tax_within(Money(3000, "EUR"), Decimal(20))
    assert (taxed.net.minor, taxed.tax.minor) == (2500, 500)


@pytest.mark.parametrize("per_cent", ["-1", "101"])
def test_a_tax_that_cannot_be_is_refused(per_cent):
    with pytest.raises(MoneyError, match="Give 0 to 100"):
        tax_within(Money(100, "EUR"), Decimal(per_cent))
