"""A waiting racquet whose player is on court: called for by one touch, planned first, promised anew, taken back."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job, Match
from desk.models.database import Database
from desk.queries.close.facts import read_facts
from desk.services.counter.court_calls import call_to_court, take_call_back
from desk.services.counter.drop_offs import take_drop_off
from desk.services.plan.hand_moves import HandMove, pin_job
from desk.services.plan.planning import Effort, plan_event
from desk.services.play.needed_by import refresh_needed_by
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

CAME, CALLED, LATER = make.acting("Mon 10:00"), make.acting("Mon 10:30"), make.acting("Mon 10:32")


def _queue(session: Session, *, count: int = 8, **over: object) -> tuple[SmallDesk, list[Job]]:
    """Return a desk whose player has the last of COUNT racquets in the queue, and is on court since 10:20."""
    desk = small_desk(session)
    others = []
    for number in range(count - 1):
        player = make.make_player(session, desk.event)
        own = make.make_racquet(session, player, frame=desk.frame)
        card = {"mains_tension": Decimal("23.5"), "crosses_tension": Decimal("22.5"), "tension_unit": "kg"}
        about = {"dropped_at": make.moment(f"Mon 09:{10 + number}"), "house_minutes": 22, "needed_by_kind": "time"}
        about |= {"needed_by_at": make.moment("Mon 11:00"), "latest_at": make.moment("Mon 11:00"), "weight": 10}
        others.append(make.make_job(session, player, racquet=own, card=card, **about))
    form = desk.form(desk.racquet_form(**{"needed_by_kind": "none"} | over))
    (job,) = take_drop_off(session, desk.event.id, form, acting=CAME).jobs
    _play(session, desk, "on_court")
    return desk, [*others, job]


def _play(session: Session, desk: SmallDesk, state: str) -> Match:
    court = make.make_court(session, desk.event, name="Court 2")
    other = make.make_player(session, desk.event)
    about = {"state": state, "started_at": make.moment("Mon 10:20")}
    return make.make_match(
        session, court, day=desk.event.days[0], players=[desk.player, other], start="at 10:20", **about
    )


def test_it_is_wanted_at_once_and_promised_sooner(session: Session) -> None:
    desk, jobs = _queue(session)
    job = jobs[-1]
    before = job.promised_at
    call_to_court(session, desk.event.id, job.id, acting=CALLED)
    wanted = CALLED.at + timedelta(minutes=desk.event.on_court_minutes)
    assert (job.on_court, job.weight, job.needed_by_at) == (True, 20, wanted)
    assert job.court_id is not None and job.promised_at < before
    assert [one.ready_at for one in job.promises] == [before, job.promised_at]


def test_the_next_plan_puts_it_first_wherever_a_hand_had_put_it(database: Database) -> None:
    with database.writing() as session:
        desk, jobs = _queue(session)
        move = HandMove(stringer_id=desk.stringers[0].id, machine_id=desk.machines[0].id)
        pin_job(session, desk.event.id, jobs[0].id, replace(move, after_id=0), acting=CAME)
        pin_job(session, desk.event.id, jobs[-1].id, move, acting=CAME)
        call_to_court(session, desk.event.id, jobs[-1].id, acting=CALLED)
        event_id, name = desk.event.id, jobs[-1].plan_name
    plan = plan_event(database, event_id, at=CALLED.at, effort=Effort(steps=2000))
    first = min(one.start for one in plan.assignments)
    assert plan.by_job()[name].start == first


def test_taken_back_it_waits_as_before_with_the_time_told_before(session: Session) -> None:
    desk, jobs = _queue(session, needed_by_kind="time", needed_by_at=make.moment("Mon 15:00"))
    job = jobs[-1]
    pin_job(session, desk.event.id, job.id, HandMove(stringer_id=desk.stringers[1].id, after_id=0), acting=CAME)
    refresh_needed_by(session, desk.event, at=CAME.at)
    told = job.promised_at
    names = ("on_court", "court_id", "called_at", "before_call", "needed_by_at", "latest_at", "needed_by_why", "weight")
    names += ("house_minutes", "pinned_stringer_id", "kept_place", "promised_at")
    before = {name: getattr(job, name) for name in names}
    call_to_court(session, desk.event.id, job.id, acting=CALLED)
    assert job.pinned_stringer_id is None and job.kept_place is None
    take_call_back(session, desk.event.id, job.id, acting=LATER)
    session.expire(job)
    assert {name: getattr(job, name) for name in names} == before
    assert [one.ready_at for one in job.promises][::2] == [told, told]


def test_a_second_touch_changes_nothing(session: Session) -> None:
    desk, jobs = _queue(session)
    for acting in (CALLED, LATER):
        call_to_court(session, desk.event.id, jobs[-1].id, acting=acting)
    assert jobs[-1].called_at == CALLED.at and len(jobs[-1].promises) == 2


@pytest.mark.parametrize("state", ["held", "on_machine", "strung", "handed_over", "cancelled"])
def test_only_one_that_waits_can_be_called_for(session: Session, state: str) -> None:
    desk, jobs = _queue(session)
    jobs[-1].state = state
    with pytest.raises(Conflict, match="only one that waits"):
        call_to_court(session, desk.event.id, jobs[-1].id, acting=CALLED)
    assert not jobs[-1].on_court


def test_a_player_who_is_not_on_court_is_said_so(session: Session) -> None:
    desk, jobs = _queue(session)
    with pytest.raises(Conflict, match="not on court now by the order of play"):
        call_to_court(session, desk.event.id, jobs[0].id, acting=CALLED)
    assert desk.player.name not in jobs[0].player.name


def test_a_call_does_not_make_good_that_the_match_began_without_it(session: Session) -> None:
    desk, jobs = _queue(session, needed_by_kind="match")
    began = make.moment("Mon 10:20")
    call_to_court(session, desk.event.id, jobs[-1].id, acting=CALLED)
    jobs[-1].state, jobs[-1].finished_at = "strung", make.moment("Mon 10:40")
    session.flush()
    fact = read_facts(session, desk.event).jobs[-1]
    assert (fact.code, fact.match_started_at) == (jobs[-1].code, began)
    assert fact.needed_by_at < began and fact.wanted_since == CALLED.at
