"""Which reel, set or half set a racquet is cut from; half sets of gut are kept as halves (common practice)."""

import pytest

from desk.trade.racquet.bed import StringBed
from desk.trade.racquet.reel_choice import HALF_SET, SET, Cut, HalfNeed, Left, Need, Shortage, Stock

GUT = 7


def need(mains_m: float = 6.2, crosses_m: float = 5.4, *, pieces: int = 2) -> Need:
    halves = (HalfNeed(GUT, own=False, metres=metres) for metres in (mains_m, crosses_m))
    return Need(player_id=1, pieces=pieces, bed=StringBed(*halves))


def store(*reels: tuple[str, float]) -> Stock:
    left = [
        Left(reel_id=number, code=f"G{number}", kind=kind, string_id=GUT, owner_id=None, left_m=metres)
        for number, (kind, metres) in enumerate(reels, start=1)
    ]
    return Stock(reels={one.reel_id: one for one in left})


def cuts(stock: Stock, asked: Need) -> list[int | None]:
    found = stock.take(asked)
    assert not isinstance(found, Shortage)
    return [cut.reel_id for cut in found]


def test_two_halves_that_are_long_enough_go_before_a_whole_set() -> None:
    assert cuts(store((SET, 12.2), (HALF_SET, 6.4), (HALF_SET, 6.4)), need()) == [2, 3]


def test_the_other_half_of_an_opened_set_counts_as_a_half() -> None:
    assert cuts(store((SET, 12.2), (SET, 5.8), (HALF_SET, 6.4)), need()) == [3, 2]


@pytest.mark.parametrize("halves", [((HALF_SET, 5.0), (HALF_SET, 6.4)), ((HALF_SET, 6.4),)])
def test_a_half_fits_only_where_it_is_long_enough(halves: tuple[tuple[str, float], ...]) -> None:
    assert cuts(store((SET, 12.2), *halves), need()) == [1, 1]


def test_a_one_piece_bed_never_comes_from_halves() -> None:
    assert cuts(store((SET, 12.2), (HALF_SET, 6.4), (HALF_SET, 6.4)), need(pieces=1)) == [1, 1]


def test_halves_are_no_metres_of_a_reel() -> None:
    """Eighteen metres of halves string no half that is longer than each of them."""
    found = store((HALF_SET, 6.0), (HALF_SET, 6.0), (HALF_SET, 6.0)).take(need(mains_m=6.2))
    assert isinstance(found, Shortage) and (found.part, found.longest_m) == ("mains", 6.0)


def test_what_is_left_of_a_half_set_is_waste() -> None:
    found = store((HALF_SET, 6.4), (HALF_SET, 6.4)).take(need())
    assert found == [
        Cut(reel_id=1, part="mains", metres=6.2, offcut_m=0.2),
        Cut(reel_id=2, part="crosses", metres=5.4, offcut_m=1.0),
    ]


def test_after_each_cut_the_shortest_that_suffices_is_taken() -> None:
    stock = store(("reel", 40.0), ("reel", 30.0))
    assert [cuts(stock, need()) for _ in range(3)] == [[2, 2], [2, 2], [1, 1]]
