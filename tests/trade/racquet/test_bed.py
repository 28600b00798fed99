"""A bed of two halves: what is said of each half, and what follows from both."""

from decimal import Decimal

import pytest

from desk.trade.racquet.bed import Bed, HalfCard, StringBed, is_above, spoken_tensions
from desk.trade.racquet.units import Tension


def half(string_id=1, *, own=False, tension="52.5", unit="lb"):
    return HalfCard(string_id, Decimal(tension), unit, own=own)


def test_a_bed_is_read_by_half_and_in_order():
    bed = Bed.of(str.upper)
    assert (bed["mains"], bed.crosses, tuple(bed)) == ("MAINS", "CROSSES", ("MAINS", "CROSSES"))
    assert dict(bed.map(len).items()) == {"mains": 5, "crosses": 7}


@pytest.mark.parametrize(
    ("mains", "crosses", "hybrid", "one_string", "own"),
    [
        (half(1), half(1), False, True, "no"),
        (half(1), half(2), True, False, "no"),
        (half(1, own=True), half(1), False, False, "mains"),
        (half(1), half(2, own=True), True, False, "crosses"),
        (half(1, own=True), half(1, own=True), False, True, "yes"),
    ],
)
def test_a_hybrid_is_of_two_strings_and_one_string_of_one_owner(mains, crosses, hybrid, one_string, own):
    bed = StringBed(mains, crosses)
    assert (bed.is_hybrid, bed.is_one_string, bed.own_string) == (hybrid, one_string, own)


@pytest.mark.parametrize(("high", "above"), [("23.8 kg", True), ("24 kg", False), ("52.5 lb", False), ("52 lb", True)])
def test_the_tighter_half_is_held_against_the_printed_range(high, above):
    value, unit = high.split()
    # 52.5 lb are 23.81 kg: 0.453 592 37 kg a pound exactly, NIST SP 811 (2008), App. B.8.
    assert is_above(Bed(half(tension="50"), half(tension="52.5")), Tension(Decimal(value), unit)) is above


def test_tensions_are_told_as_they_were_spoken():
    assert spoken_tensions(Bed(half(tension="52.50"), half(tension="50"))) == "52.5 / 50 lb"
