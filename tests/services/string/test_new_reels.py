"""String that comes: reels, sets and half sets, and a string that is new on the list."""

import pytest

from desk.errors import BadInput
from desk.queries.string.store import reel_rows, sets_left
from desk.services.string import new_reels, string_list
from tests import make
from tests.services.string.reel_desk import ReelDesk


def test_sets_come_one_a_row(desk: ReelDesk) -> None:
    new = new_reels.NewReels(string_id=desk.string.id, metres=12, kind="set", count=3)
    codes = [reel.code for reel in new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())]
    assert codes == ["STR1-1", "STR1-2", "STR1-3"]


def test_a_code_is_given_once(desk: ReelDesk) -> None:
    with pytest.raises(BadInput, match="R1 already"):
        new = new_reels.NewReels(string_id=desk.string.id, metres=200, code="R1")
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())


def test_a_reel_without_metres_is_refused(desk: ReelDesk) -> None:
    with pytest.raises(BadInput, match="metres above 0"):
        new = new_reels.NewReels(string_id=desk.string.id, metres=-5)
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())


def test_a_string_of_unknown_material_is_refused(desk: ReelDesk) -> None:
    with pytest.raises(BadInput) as refused:
        string_list.add_string(
            desk.session, desk.event.id, string_list.StringForm(name=" ", material="wood"), acting=make.acting()
        )
    assert set(refused.value.fields) == {"name", "material"}


def test_a_new_string_gets_a_free_code(desk: ReelDesk) -> None:
    form = string_list.StringForm(name="String C", material="aramid")
    assert string_list.add_string(desk.session, desk.event.id, form, acting=make.acting()).code == "STR2"


def test_the_half_of_a_set_that_is_left_is_counted_as_a_half(desk: ReelDesk) -> None:
    gut = make.make_string(desk.session, desk.event, name="Fell Gut", material="natural_gut")
    for kind, count, metres in (("set", 2, 12.2), ("half_set", 1, 6.4)):
        new = new_reels.NewReels(string_id=gut.id, kind=kind, count=count, metres=metres)
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())
    name = next(row.string_name for row in reel_rows(desk.session, desk.event) if row.string_id == gut.id)
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 2, 1)]
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}))
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 2, 0)]
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}))
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 1, 1)]


def test_a_half_set_as_long_as_a_set_is_refused(desk: ReelDesk) -> None:
    new = new_reels.NewReels(string_id=desk.string.id, kind="half_set", metres=12.2)
    with pytest.raises(BadInput, match="cannot be taken into the store") as refused:
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())
    assert refused.value.fields == {"metres": "at most 8 for a half set"}
