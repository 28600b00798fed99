from decimal import Decimal
from fractions import Fraction

import pytest

from desk.trade.errors import UnitError
from desk.trade.racquet.units import Tension, lb_to_kg, parse_area_cm2, parse_length, parse_tension


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("52.5 lb", "52.5", "lb"),
        ("23,5 kg", "23.5", "kg"),
        ("52lbs", "52", "lb"),
        (" 24 KG ", "24", "kg"),
        ("24 kilos", "24", "kg"),
        ("52#", "52", "lb"),
        ("52 1/2 lb", "52.5", "lb"),
        ("23½ kg", "23.5", "kg"),
    ],
)
def test_a_tension_is_read_with_its_unit(text, value, unit):
    assert parse_tension(text) == Tension(Decimal(value), unit)


@pytest.mark.parametrize("bare", ["22", "52.5", "23,5"])
def test_a_bare_number_is_refused_and_asks_for_the_unit(bare):
    with pytest.raises(UnitError, match="has no unit"):
        parse_tension(bare)


@pytest.mark.parametrize(
    "text", ["", "lb", "fifty lb", "5 2 lb", "52.5.5 lb", "-50 lb", "50 N", "1,000.5 lb", "nan kg"]
)
def test_a_tension_that_cannot_be_read_is_refused(text):
    with pytest.raises(UnitError, match="Tension"):
        parse_tension(text)


@pytest.mark.parametrize("text", ["7.4 kg", "40.1 kg", "15.5 lb", "88.5 lb", "52.5 kg"])
def test_a_tension_outside_what_is_strung_is_refused(text):
    with pytest.raises(UnitError, match="outside"):
        parse_tension(text)


@pytest.mark.parametrize(("text", "meant"), [("52 kg", "52 lb"), ("12 lb", "12 kg")])
def test_a_likely_slip_of_the_unit_is_asked_about(text, meant):
    with pytest.raises(UnitError, match=f"Did you mean {meant}"):
        parse_tension(text)


def test_the_spoken_tension_is_kept_for_ever():
    tension = parse_tension("52.5 lb")
    assert (tension.display(), tension.value, tension.unit) == ("52.5 lb", Decimal("52.5"), "lb")


@pytest.mark.outside
def test_conversions_are_exact_by_nist_sp_811_appendix_b8():
    # NIST SP 811 (2008), App. B.8: lb 0.453 592 37 kg; in 2.54 cm; ft 0.3048 m.
    fifty_two_and_a_half = Tension(Decimal("52.5"), "lb")
    assert fifty_two_and_a_half.in_kg == Decimal("23.813599425")
    assert lb_to_kg(Decimal(1)) == Decimal("0.45359237")
    assert parse_length("1 in").in_cm == Decimal("2.54")
    assert parse_length("40 ft").in_m == Decimal("12.192")
    assert parse_area_cm2("100 sq in") == Decimal("645.16")


def nearest_tenth(exact: Fraction) -> str:
    """Round to one decimal, a half to the even digit, in whole numbers."""
    tenths, rest = divmod(exact * 10, 1)
    up = rest > Fraction(1, 2) or (rest == Fraction(1, 2) and tenths % 2)
    whole, tenth = divmod(int(tenths) + bool(up), 10)
    return f"{whole}.{tenth}"


@pytest.mark.parametrize("text", ["12", "0 m", "12 yards", "", "twelve m"])
def test_a_length_without_a_known_unit_is_refused(text):
    with pytest.raises(UnitError, match="Length"):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("11,3 m", "11.3"), ("68.5 cm", "0.685"), ("27 in", "0.6858"), ("1.25 mm", "0.00125")],
)
def test_a_length_is_metres_in_the_database(text, metres):
    assert parse_length(text).in_m == Decimal(metres)


def test_a_head_size_without_a_unit_is_refused():
    with pytest.raises(UnitError, match="Head size"):
        parse_area_cm2("98")
