"""Sets to order are counted by the halves of beds (facts of the trade, common practice)."""

import pytest

from desk.trade.racquet.bed import StringBed
from desk.trade.racquet.reel_choice import HalfNeed, Left, Need
from desk.trade.racquet.set_count import Later, Sold, of_string, pieces_for, to_order

GUT, POLY = 1, 2
SETS, HALF_SETS = Sold(kind="set", metres=12.0), Sold(kind="half_set", metres=6.1)


def bed(mains: int = GUT, crosses: int = GUT, *, pieces: int = 2, mains_m: float = 5.9, crosses_m: float = 5.3) -> Need:
    halves = StringBed(HalfNeed(mains, False, mains_m), HalfNeed(crosses, False, crosses_m))
    return of_string(Need(player_id=1, pieces=pieces, bed=halves), GUT)


def there(*pieces: tuple[str, float]) -> list[Left]:
    usual = {"string_id": GUT, "owner_id": None}
    found = enumerate(pieces, start=1)
    return [Left(reel_id=n, code=f"G{n}", kind=kind, left_m=left, **usual) for n, (kind, left) in found]


def short(sold: Sold, left: list[Left], *beds: Need, halves: float = 0.0, half_m: float = 5.6) -> int:
    return to_order(sold, left, Later(halves=halves, metres=halves * half_m), beds)


@pytest.mark.parametrize(
    ("beds", "sets", "half_sets"),
    [
        ([], 0, 0),
        ([bed()], 1, 2),
        ([bed(GUT, POLY)], 1, 1),
        ([bed(GUT, POLY), bed(POLY, GUT)], 1, 2),
        ([bed(GUT, POLY)] * 3, 2, 3),
        ([bed(POLY, POLY)], 0, 0),
    ],
)
def test_a_set_strings_a_bed_or_the_halves_of_two(beds: list[Need], sets: int, half_sets: int) -> None:
    assert (short(SETS, [], *beds), short(HALF_SETS, [], *beds)) == (sets, half_sets)


def test_by_the_metre_two_halves_of_different_sets_would_have_been_one_bed() -> None:
    """Two halves of 5.5 m and 5.5 m are 11 m; mains of 5.9 m fit on neither."""
    halves = there(("half_set", 5.5), ("half_set", 5.5))
    assert short(SETS, halves, bed()) == 1
    assert short(SETS, there(("half_set", 6.1), ("half_set", 5.5)), bed()) == 0


def test_what_is_left_of_a_set_counts_as_a_half() -> None:
    used = there(("set", 6.1))
    assert short(SETS, used, bed(GUT, POLY)) == 0
    assert short(SETS, used, bed(GUT, POLY), bed(POLY, GUT)) == 1
    assert short(SETS, used, halves=1) == 0
    assert short(SETS, used, halves=3) == 1
    assert short(SETS, used, halves=3.2) == 2


def test_a_set_too_short_for_two_halves_strings_one() -> None:
    long = {"mains_m": 6.4}
    assert short(SETS, [], bed(GUT, POLY, **long), bed(GUT, POLY, **long)) == 2
    assert short(SETS, [], halves=4, half_m=6.4) == 4


def test_the_sets_that_are_there_go_first_and_stay_as_they_were() -> None:
    left = there(("set", 12.0), ("set", 12.0))
    assert short(SETS, left, bed(), bed(), bed()) == 1
    assert [one.left_m for one in left] == [12.0, 12.0]


def test_reels_are_ordered_by_the_metre() -> None:
    assert short(Sold(), there(("reel", 30.0)), bed(), bed(), halves=40) == 2
    assert pieces_for(Sold(), Later(halves=40, metres=200)) == 1
    assert pieces_for(SETS, Later(halves=5, metres=28)) == 3
