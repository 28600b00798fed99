"""Places that a hand gave: who comes after whom, what later moves take away, and never a circle."""

from graphlib import TopologicalSorter

from hypothesis import given
from hypothesis import strategies as st

from desk.trade.bench.kept_places import KeptPlace, Waiting, place_in, turns, with_place


def bench(*serials: int, stringer: int | None = None) -> list[Waiting]:
    return [Waiting(serial=serial, stringer_id=stringer) for serial in serials]


def given_place(waiting: list[Waiting], serial: int, after: int | None, *order: int, stringer: int = 1):
    return with_place(waiting, serial, stringer_id=stringer, place=place_in(order, after))


def test_a_place_is_kept_between_those_ahead_and_those_behind() -> None:
    found = turns(given_place(bench(1, 2, 3, 4), 4, 1, 1, 2, 3))
    assert found == {1: set(), 2: {4}, 3: {4}, 4: {1}}


def test_what_is_next_has_the_later_ones_behind_but_not_one_from_the_court() -> None:
    moved = given_place(bench(1, 2), 2, None, 1)
    later = [Waiting(serial=3), Waiting(serial=4, on_court=True), Waiting(serial=5, stringer_id=2)]
    assert turns([*moved, *later]) == {1: {2}, 2: set(), 3: {2}, 4: set(), 5: set()}


def test_the_newer_of_two_places_counts() -> None:
    moved = given_place(given_place(bench(1, 2, 3), 2, None, 1, 3), 3, None, 2, 1)
    assert turns(moved) == {1: {2, 3}, 2: {3}, 3: set()}


def test_a_place_ends_where_what_it_hangs_on_is_moved_away() -> None:
    moved = with_place(given_place(bench(1, 2), 2, 1, 1), 1, stringer_id=2, place=None)
    assert turns(moved) == {1: set(), 2: set()}


def test_what_was_started_or_taken_away_counts_no_more() -> None:
    moved = given_place(bench(1, 2, 3), 3, 1, 1, 2)
    assert turns([one for one in moved if one.serial != 1]) == {2: {3}, 3: set()}


def test_a_place_comes_back_from_the_records_as_it_was() -> None:
    place = place_in((1, 2, 3), 2)
    assert KeptPlace.of(place.to_keep()) == place == KeptPlace(ahead=(1, 2), behind=(3,))
    assert KeptPlace.of(None) is None


@given(st.data())
def test_no_hands_make_a_circle(data: st.DataObject) -> None:
    waiting = bench(*range(6))
    for _ in range(data.draw(st.integers(1, 8))):
        serial = data.draw(st.integers(0, 5))
        order = data.draw(st.permutations([one for one in range(6) if one != serial]).map(lambda all_: all_[:4]))
        after = data.draw(st.none() | st.sampled_from(order))
        stringer = data.draw(st.sampled_from([1, 2]))
        waiting = given_place(waiting, serial, after, *order, stringer=stringer)
    order = list(TopologicalSorter(turns(waiting)).static_order())
    assert sorted(order) == list(range(6))
