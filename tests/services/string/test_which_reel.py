"""Which reel a racquet is cut from, and which are refused."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.queries.string.lengths import metres_by_job
from desk.queries.string.store import reel_rows
from desk.services.string import store
from tests import make
from tests.services.string.reel_desk import OWN, ReelDesk, reel_desk


def test_the_shortest_reel_that_suffices_is_taken(desk: ReelDesk) -> None:
    for code, metres in (("R7", 10.9), ("R8", 11.4), ("R9", 30)):
        make.make_reel(desk.session, desk.string, metres=metres, code=code)
    desk.use(desk.job(), used=make.cut(6, 5))
    assert [desk.row(code).left_m for code in ("R1", "R7", "R8", "R9")] == [200, 10.9, 0.4, 30]


def test_a_two_piece_bed_may_come_from_two_ends(session: Session) -> None:
    desk = reel_desk(session, metres=6.5)
    make.make_reel(session, desk.string, metres=5.5, code="R2")
    desk.use(desk.job(), used=make.cut(6, 5))
    assert (desk.row("R1").left_m, desk.row("R2").left_m) == (0.5, 0.5)


def test_a_one_piece_bed_never_comes_from_two_ends(session: Session) -> None:
    desk = reel_desk(session, metres=6.5)
    make.make_reel(session, desk.string, metres=5.5, code="R2")
    with pytest.raises(Conflict, match=r"6\.5 m left"):
        desk.use(desk.job(card={"pieces": 1}), used=make.cut(6, 5))


def test_a_one_piece_bed_refuses_two_reels_named(desk: ReelDesk) -> None:
    other = make.make_reel(desk.session, desk.string)
    with pytest.raises(BadInput, match="one reel"):
        desk.use(desk.job(card={"pieces": 1}), used=make.cut(reels=(desk.reel.id, other.id)))


def test_a_hybrid_takes_from_two_strings(desk: ReelDesk) -> None:
    gut = make.make_string(desk.session, desk.event, name="String B", material="natural_gut")
    make.make_reel(desk.session, gut, code="G1", metres=12)
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}), used=make.cut(6, 5))
    assert (desk.row("G1").left_m, desk.left_m) == (6, 195)


def test_own_string_needs_no_reel(desk: ReelDesk) -> None:
    job = desk.job(card=OWN)
    desk.use(job, used=make.cut(6, 5))
    assert desk.left_m == 200
    assert metres_by_job(desk.session, desk.event)[job.id].total_m == 11
    loose = next(row for row in reel_rows(desk.session, desk.event) if row.kind == "loose")
    assert (loose.owner_name, loose.received_m, loose.used_m, loose.left_m) == (desk.player.name, 11, 11, 0)


def test_own_string_is_cut_from_the_players_own_reel(desk: ReelDesk) -> None:
    make.make_reel(desk.session, desk.string, code="OWN", owner_id=desk.player.id, metres=50)
    desk.use(desk.job(card=OWN), used=make.cut(6, 5))
    assert desk.row("OWN").left_m == 39


def test_the_reel_of_another_player_is_refused(desk: ReelDesk) -> None:
    other = make.make_player(desk.session, desk.event)
    theirs = make.make_reel(desk.session, desk.string, owner_id=other.id)
    with pytest.raises(BadInput, match="another player"):
        desk.use(desk.job(), used=make.cut(reels=(theirs.id, None)))


def test_a_reel_of_another_string_is_refused(desk: ReelDesk) -> None:
    other = make.make_string(desk.session, desk.event, name="String B", gauge_mm=1.3)
    reel = make.make_reel(desk.session, other, code="B1")
    with pytest.raises(BadInput, match=r"Reel B1 is String B 1\.30, but the card says String A 1\.25 for the mains"):
        desk.use(desk.job(), used=make.cut(reels=(reel.id, None)))


def test_a_withdrawn_reel_strings_nothing(desk: ReelDesk) -> None:
    store.withdraw(desk.session, desk.event.id, desk.reel.id, acting=make.acting())
    with pytest.raises(Conflict, match="withdrawn"):
        desk.use(desk.job(), used=make.cut(reels=(desk.reel.id, None)))
    store.put_back(desk.session, desk.event.id, desk.reel.id, acting=make.acting())
    desk.use(desk.job(), used=make.cut(6, 5, reels=(desk.reel.id, None)))
    assert desk.left_m == 189
