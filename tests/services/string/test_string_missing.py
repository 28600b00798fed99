"""String that is missed before a racquet is promised."""

from sqlalchemy.orm import Session

from desk.models import Job, JobCard
from desk.queries.string.foresight import string_missing
from desk.queries.string.store import reel_rows
from desk.services.string import store, string_use
from tests import make
from tests.services.string.reel_desk import OWN, ReelDesk, reel_desk


def cards(desk: ReelDesk, count: int, **over: object) -> list:
    frame = desk.session.get_one(Job, desk.job(state="cancelled").id).racquet.frame
    values = {"mains_string_id": desk.string.id, "crosses_string_id": desk.string.id, "pieces": 2}
    return [(JobCard(**(values | over)), frame) for _ in range(count)]


def test_a_racquet_without_string_is_told_before_it_is_promised(any_session: Session) -> None:
    desk = reel_desk(any_session, metres=24)
    reasons = string_missing(any_session, desk.event, cards(desk, 3))
    assert reasons[:2] == [None, None]
    assert reasons[2].startswith("String is missing: the ")
    assert reasons[2].endswith("Receive string or choose another.")


def test_what_waits_already_takes_its_string_first(desk: ReelDesk) -> None:
    store.correct_reel(desk.session, desk.event.id, desk.reel.id, 24, acting=make.acting(), note="measured")
    asked = cards(desk, 1)
    assert string_missing(desk.session, desk.event, asked) == [None]
    for state in ("waiting", "held"):
        desk.job(state=state)
    assert string_missing(desk.session, desk.event, asked) != [None]


def test_own_string_is_never_missing(desk: ReelDesk) -> None:
    store.write_off(desk.session, desk.event.id, desk.reel.id, acting=make.acting(), note="lost")
    assert string_missing(desk.session, desk.event, cards(desk, 1, **OWN)) == [None]


def test_own_string_on_a_reel_that_runs_out_is_missing(desk: ReelDesk) -> None:
    make.make_reel(desk.session, desk.string, code="OWN", owner_id=desk.player.id, metres=13)
    reasons = string_missing(desk.session, desk.event, cards(desk, 2, **OWN), player_id=desk.player.id)
    assert [reason is None for reason in reasons] == [True, False]


def test_a_desk_that_keeps_no_store_misses_nothing(desk: ReelDesk) -> None:
    event = make.make_event(desk.session)
    string = make.make_string(desk.session, event)
    player = make.make_player(desk.session, event)
    job = make.make_job(desk.session, player)
    asked = [(job.card, job.racquet.frame)]
    assert string_missing(desk.session, event, asked) == [None]
    string_use.use_for_job(desk.session, event, job, acting=make.acting(), used=make.cut(6, 5))
    assert [(row.code, row.used_m) for row in reel_rows(desk.session, event)] == [(f"loose-{string.code}", 11)]
