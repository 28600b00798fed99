from decimal import Decimal

import pytest

from desk.trade.errors import TradeError
from desk.trade.racquet.frame_check import check_range, differing_sisters
from desk.trade.racquet.units import Tension, parse_tension


def tension(value, unit="lb"):
    return Tension(Decimal(value), unit)


@pytest.mark.parametrize(
    ("asked", "place", "consent"),
    [
        (tension("57"), "within", False),
        (tension("50"), "within", False),
        (tension("57.5"), "above", True),
        (tension("49.5"), "below", False),
        (tension("25.8", "kg"), "within", False),
        (tension("25.9", "kg"), "above", True),
    ],
)
def test_a_tension_is_compared_with_the_range_whatever_its_unit(asked, place, consent):
    # 57 lb is 25.854 765 09 kg (NIST SP 811 (2008), App. B.8).
    check = check_range(asked, tension("50"), tension("57"))
    assert (check.place, check.needs_consent) == (place, consent)
    assert asked.display() in check.message


def test_a_range_the_wrong_way_round_is_refused():
    with pytest.raises(TradeError, match="low value first"):
        check_range(tension("52"), tension("57"), tension("50"))


def test_sisters_within_a_unit_leave_together():
    # Within 1 unit of stringbed stiffness, else redo: certification practice.
    assert differing_sisters({"1": Decimal("60"), "2": Decimal("61")}) == ()


def test_sisters_two_units_apart_are_stopped():
    faults = differing_sisters({"1": Decimal("62.0"), "2": Decimal("60.0"), "3": Decimal("61.5")})
    assert [(fault.softer, fault.stiffer, fault.difference) for fault in faults] == [
        ("2", "1", Decimal("2.0")),
        ("2", "3", Decimal("1.5")),
    ]


@pytest.mark.parametrize("readings", [{}, {"1": Decimal(60)}])
def test_a_racquet_without_a_sister_differs_from_none(readings):
    assert differing_sisters(readings) == ()


@pytest.mark.parametrize(
    ("asked", "asks_back", "meant"),
    [("24 lb", True, "24 kg"), ("36 lb", True, None), ("45 lb", False, None), ("20 kg", False, None)],
)
def test_far_below_the_range_is_asked_back_with_the_unit_that_may_be_meant(
    asked: str, asks_back: bool, meant: str | None
) -> None:
    found = check_range(parse_tension(asked), Tension(Decimal("48.5"), "lb"), Tension(Decimal("59.5"), "lb"))
    assert (found.place, found.asks_back, str(found.meant or "") or None) == ("below", asks_back, meant)
