"""Racquets moved by hand: a pin obeyed, a move judged before it is kept."""

import pytest
from sqlalchemy import delete, select

from desk.errors import Conflict
from desk.models import Event, Job, Promise, Stringer
from desk.models.database import Database
from desk.services.plan import hand_moves
from desk.services.plan.planning import plan_event
from tests import make
from tests.services.plan.planned_event import NOW, QUICK, begin, filled, first_bench, places


def test_a_pinned_racquet_obeys(database: Database) -> None:
    event_id, job_ids = filled(database)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringers = session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)).all()
        for number, job_id in enumerate(job_ids):
            move = hand_moves.HandMove(stringer_id=stringers[number % 2])
            hand_moves.pin_job(session, event_id, job_id, move, acting=NOW)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    found = places(database, event_id)
    assert [found[job_id].stringer_id for job_id in job_ids] == [stringers[0], stringers[1], stringers[0]]


def test_a_move_shows_before_and_after_and_keeps_nothing(database: Database) -> None:
    event_id, job_ids = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    taken = places(database, event_id)[job_ids[0]].stringer_id
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        everybody = session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)).all()
        other = next(one for one in everybody if one != taken)
        move = hand_moves.HandMove(stringer_id=other)
        judged = hand_moves.judge_move(session, event_id, job_ids[0], move, at=NOW.at, start_at=NOW.at)
        own = judged.comparison.own
        names = {one.id: one.name for one in session.scalars(select(Stringer))}
        assert (own.before.stringer, own.after.stringer) == (names[taken], names[other])
        assert (own.after.ready_at, own.racquet.job_id) == (judged.end_at, job_ids[0])
        assert own.racquet.player == "Player 1"
        assert session.get_one(Job, job_ids[0]).pinned_stringer_id is None


def test_a_move_into_a_break_names_the_fault(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.writing() as session:
        move = hand_moves.HandMove(**first_bench(session, event_id))
        night = make.moment("Mon 23:00")
        judged = hand_moves.judge_move(session, event_id, job_ids[0], move, at=NOW.at, start_at=night)
    assert judged.faults == ("Stringer 1 is not at work then.",)


def test_a_move_to_one_who_has_begun_the_most_of_the_day_says_so(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.writing() as session:
        bench = first_bench(session, event_id)
        person, job = session.get_one(Stringer, bench["stringer_id"]), session.get_one(Job, job_ids[0])
        move = hand_moves.HandMove(stringer_id=person.id)
        assert hand_moves.judge_move(session, event_id, job.id, move, at=NOW.at).why == ""
        person.most_a_day = 2
        strung = {"state": "strung", "stringer_id": person.id, "started_at": NOW.at, "finished_at": NOW.at}
        for _ in range(2):
            make.make_job(session, job.player, **strung)
        session.execute(delete(Promise))
        limit = f"{person.name} has begun 2 of at most 2 today."
        assert hand_moves.judge_move(session, event_id, job.id, move, at=NOW.at).why == limit
        job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 15:00")
        job.latest_at = job.needed_by_at
        judged = hand_moves.judge_move(session, event_id, job.id, move, at=NOW.at)
    assert judged.end_at is not None and judged.end_at > make.moment("Tue 07:00")
    assert judged.why.startswith(f"It is pinned to {person.name}.") and judged.why.endswith(limit)


def test_a_started_racquet_is_not_moved(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    with database.writing() as session:
        begin(session, event_id, job_ids[0])
        move = hand_moves.HandMove(**first_bench(session, event_id))
        with pytest.raises(Conflict, match="only a waiting one can be moved"):
            hand_moves.judge_move(session, event_id, job_ids[0], move, at=NOW.at)
