"""A whole sample event through the services: nothing forgotten, nothing moved once started, promises told."""

import itertools
from collections import defaultdict

import pytest
from sqlalchemy import func, select

from desk.models import Charge, Event, Job, MachineCare, Promise, ReelEntry, StateChange
from desk.queries.bench.strung import strung_rows
from desk.services.event_files import read_event, script_of
from tests.played import SAMPLES, Played

pytestmark = pytest.mark.slow


@pytest.fixture(params=["riverside", "impossible", "club"])
def played(request: pytest.FixtureRequest) -> Played:
    return request.getfixturevalue(request.param)


def test_nothing_was_refused_on_the_way(played: Played) -> None:
    assert played.refused == []


def test_every_racquet_of_the_files_was_dropped_off(riverside: Played) -> None:
    script = script_of(read_event(SAMPLES / "riverside-one-day"))
    expected = sum(len(visit.racquets) for visit in script.drop_offs)
    with riverside.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Job)) == expected


def test_no_racquet_is_forgotten(played: Played) -> None:
    with played.database.reading() as session:
        states = dict(session.execute(select(Job.state, func.count()).group_by(Job.state)).all())
    assert set(states) <= {"handed_over", "held", "waiting", "strung", "cancelled", "redo"}
    with played.database.reading() as session:
        open_jobs = session.scalars(select(Job).where(Job.state.in_(("held", "waiting")))).all()
        assert all(job.held_reason or job.late_why for job in open_jobs)


def test_a_started_racquet_stays_with_its_stringer_until_it_is_strung(played: Played) -> None:
    with played.database.reading() as session:
        changes = session.scalars(select(StateChange).order_by(StateChange.id)).all()
    by_job = defaultdict(list)
    for change in changes:
        by_job[change.job_id].append(change)
    for rows in by_job.values():
        starts = [row for row in rows if row.to_state == "on_machine"]
        ends = [row for row in rows if row.to_state == "strung"]
        assert [row.by for row in starts] == [row.by for row in ends]


def test_no_stringer_and_no_machine_had_two_racquets_at_once(played: Played) -> None:
    with played.database.reading() as session:
        jobs = session.scalars(select(Job).where(Job.finished_at.is_not(None))).all()
    for key in ("stringer_id", "machine_id"):
        busy = defaultdict(list)
        for job in jobs:
            busy[getattr(job, key)].append((job.started_at, job.finished_at))
        for spans in busy.values():
            spans.sort()
            assert all(first[1] <= second[0] for first, second in itertools.pairwise(spans))


def test_every_racquet_of_a_day_that_can_be_done_was_promised(riverside: Played) -> None:
    with riverside.database.reading() as session:
        jobs = set(session.scalars(select(Job.id)))
        assert set(session.scalars(select(Promise.job_id))) == jobs


def test_the_string_of_every_strung_racquet_was_booked(played: Played) -> None:
    with played.database.reading() as session:
        strung = set(session.scalars(select(Job.id).where(Job.finished_at.is_not(None))))
        booked = set(session.scalars(select(ReelEntry.job_id).where(ReelEntry.kind == "use")))
    assert strung <= booked


def test_late_racquets_of_the_impossible_event_have_their_reason(impossible: Played) -> None:
    with impossible.database.reading() as session:
        late = [row for row in strung_rows(session, session.get_one(Event, impossible.event_id)) if row.late_min]
    assert late
    assert [row.code for row in late if not row.late_why] == []


def test_every_visitor_of_the_club_weekend_is_served_and_charged(club: Played) -> None:
    with club.database.reading() as session:
        states = session.execute(select(Job.state, func.count()).group_by(Job.state)).all()
        charged = session.scalar(select(func.count(func.distinct(Charge.job_id))))
    assert [tuple(row) for row in states] == [("handed_over", 14)]
    assert charged == 14


def test_what_is_due_on_a_machine_is_done_before_it_is_calibrated(club: Played) -> None:
    """Ten racquets on Saturday: on Sunday morning the clamps are due by the list of that one machine."""
    with club.database.reading() as session:
        done = session.scalars(select(MachineCare)).all()
        assert [(one.check.name, one.check.machine_id is None, one.by) for one in done] == [
            ("Clean clamps and gripper", False, "S1")
        ]
