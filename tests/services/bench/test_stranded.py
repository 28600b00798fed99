"""A racquet whose stringer falls sick or whose machine dies asks what becomes of it."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job, Mishap
from desk.queries.bench.bench_times import pace_lines
from desk.queries.plan.stranded import stranded
from desk.services.bench import jobs
from desk.services.bench.stranded import cut_out, hand_on, hold_half_strung
from desk.services.bench.undo import undo_last
from desk.services.machines import machines
from desk.services.team import team
from tests import make
from tests.services.small_desk import ALL_CHECKED, SmallDesk

NOW, LATER = make.acting("Mon 12:00"), make.acting("Mon 12:10")


def _begun(session: Session, desk: SmallDesk) -> Job:
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    return jobs.start_job(session, desk.event.id, job.id, acting=NOW, **desk.bench())


def test_nothing_is_asked_while_somebody_works_on_it(session: Session, desk: SmallDesk) -> None:
    _begun(session, desk)
    assert stranded(session, desk.event, LATER.at) == []


def test_a_sick_stringer_s_racquet_can_be_finished_by_another(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    team.call_in_absent(session, desk.event.id, desk.stringers[0].id, acting=LATER, reason="sick")
    (row,) = stranded(session, desk.event, LATER.at)
    second = desk.stringers[1]
    assert (row.job_id, row.why, row.others) == (
        job.id,
        f"{desk.stringers[0].name} is away",
        ((second.id, second.name),),
    )
    hand_on(session, desk.event.id, job.id, second.id, acting=LATER)
    assert (job.state, job.stringer_id) == ("on_machine", second.id)
    assert stranded(session, desk.event, LATER.at) == []


def test_what_was_handed_on_teaches_no_pace_and_says_who_had_it(session: Session, desk: SmallDesk) -> None:
    job, (first, second) = _begun(session, desk), desk.stringers
    team.call_in_absent(session, desk.event.id, first.id, acting=LATER, reason="sick")
    hand_on(session, desk.event.id, job.id, second.id, acting=make.acting("Mon 13:10"))
    jobs.finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=make.acting("Mon 13:20"))
    assert [one.jobs for one in pace_lines(session, desk.event)] == [0, 0]
    session.refresh(job)
    notes = [change.note for change in job.changes if change.to_state == "on_machine"]
    assert notes == ["", f"begun by {first.name}, handed on to {second.name}"]


def test_one_strung_in_one_go_teaches_the_pace_of_its_stringer(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    jobs.finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=make.acting("Mon 12:25"))
    assert [one.jobs for one in pace_lines(session, desk.event)] == [1, 0]


def test_one_that_rested_with_a_problem_teaches_no_pace(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    jobs.report_problem(session, desk.event.id, job.id, "String broke", acting=LATER)
    undo_last(session, desk.event.id, job.id, acting=make.acting("Mon 13:00"))
    jobs.finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=make.acting("Mon 13:10"))
    assert [one.jobs for one in pace_lines(session, desk.event)] == [0, 0]


def test_one_handed_on_twice_names_each_hand(session: Session, desk: SmallDesk) -> None:
    job, (first, second) = _held(session, desk), desk.stringers
    hand_on(session, desk.event.id, job.id, second.id, acting=LATER)
    team.back_at_work(session, desk.event.id, first.id, acting=LATER)
    hand_on(session, desk.event.id, job.id, first.id, acting=LATER)
    session.refresh(job)
    assert job.changes[-1].note == f"handed on by {second.name} to {first.name}"


def test_a_dead_machine_s_racquet_is_cut_out_and_waits(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    machines.take_out_of_service(session, desk.event.id, desk.machines[0].id, acting=LATER, reason="belt")
    (row,) = stranded(session, desk.event, LATER.at)
    assert (row.why, row.others) == (f"{desk.machines[0].name} is out", ())
    cut_out(session, desk.event.id, job.id, acting=LATER)
    assert (job.state, job.started_at, job.machine_id) == ("waiting", None, None)
    (noted,) = session.scalars(select(Mishap))
    assert (noted.kind, noted.job_id, noted.closed_at) == ("cut_out", job.id, None)
    assert noted.note.startswith(f"{desk.machines[0].name} went out of service under it. Book the string")
    assert job.late_why == f"It was cut out and is strung anew: {desk.machines[0].name} went out of service under it."
    with pytest.raises(Conflict, match="not on a machine"):
        cut_out(session, desk.event.id, job.id, acting=LATER)


def test_only_who_is_at_work_and_may_string_it_is_offered(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    first, second = desk.stringers
    team.call_in_absent(session, desk.event.id, first.id, acting=LATER, reason="sick")

    def offered() -> tuple[tuple[int, str], ...]:
        session.flush()
        (row,) = stranded(session, desk.event, LATER.at)
        return row.others

    assert offered() == ((second.id, second.name),)
    job.card.mains_string.material, second.strings_gut = "natural_gut", False
    assert offered() == ()
    second.strings_gut, second.shifts = True, []
    assert offered() == ()


def _held(session: Session, desk: SmallDesk) -> Job:
    """A racquet that its stringer, sick since, left half-strung; it is held."""
    job = _begun(session, desk)
    team.call_in_absent(session, desk.event.id, desk.stringers[0].id, acting=LATER, reason="sick")
    return hold_half_strung(session, desk.event.id, job.id, acting=LATER)


def test_a_racquet_held_half_strung_is_asked_about_again_and_finished_by_another(
    session: Session, desk: SmallDesk
) -> None:
    job, second = _held(session, desk), desk.stringers[1]
    assert (job.state, job.held_reason, job.started_at) == ("held", "half-strung, its stringer is away", NOW.at)
    with pytest.raises(Conflict, match="half-strung: it cannot wait like a new one"):
        jobs.release_job(session, desk.event.id, job.id, acting=LATER)
    (row,) = stranded(session, desk.event, LATER.at)
    assert (row.is_held, row.why, row.others) == (True, job.held_reason, ((second.id, second.name),))
    hand_on(session, desk.event.id, job.id, second.id, acting=LATER)
    assert (job.state, job.stringer_id, job.held_reason) == ("on_machine", second.id, "")
    assert stranded(session, desk.event, LATER.at) == []


def test_a_racquet_held_half_strung_can_be_cut_out_and_leaves_its_waste_to_book(
    session: Session, desk: SmallDesk
) -> None:
    job = _held(session, desk)
    cut_out(session, desk.event.id, job.id, acting=LATER)
    (noted,) = session.scalars(select(Mishap))
    assert noted.note.startswith("It was held half-strung, its stringer is away. Book the string")
    assert (job.state, job.started_at, job.held_reason) == ("waiting", None, "")
    with pytest.raises(Conflict, match="was cut out"):
        undo_last(session, desk.event.id, job.id, acting=LATER)


def test_the_string_of_one_cancelled_half_strung_is_waste_too(session: Session, desk: SmallDesk) -> None:
    job = _held(session, desk)
    jobs.cancel_job(session, desk.event.id, job.id, "the player is out", acting=LATER)
    (noted,) = session.scalars(select(Mishap))
    assert noted.note.startswith("It was cancelled half-strung: the player is out. Book the string")


def test_a_racquet_held_half_strung_is_finished_only_where_it_was_begun(session: Session, desk: SmallDesk) -> None:
    job, second = _held(session, desk), desk.stringers[1]
    other = make.make_job(session, desk.player, racquet=desk.racquets[1], serial=9)
    jobs.start_job(session, desk.event.id, other.id, acting=LATER, **desk.bench(1, machine=0))
    (row,) = stranded(session, desk.event, LATER.at)
    assert (row.others, row.by_machine) == ((), True)
    assert row.why.endswith(f"; {desk.machines[0].name} holds {other.code}")
    with pytest.raises(Conflict, match="choose somebody who is free"):
        hand_on(session, desk.event.id, job.id, second.id, acting=LATER)
    team.back_at_work(session, desk.event.id, desk.stringers[0].id, acting=LATER)
    with pytest.raises(Conflict, match=f"{desk.machines[0].name} holds {other.code}"):
        hand_on(session, desk.event.id, job.id, desk.stringers[0].id, acting=LATER)


def test_handing_on_taken_back_asks_again(session: Session, desk: SmallDesk) -> None:
    job = _held(session, desk)
    hand_on(session, desk.event.id, job.id, desk.stringers[1].id, acting=LATER)
    undo_last(session, desk.event.id, job.id, acting=LATER)
    assert (job.state, job.is_half_strung, job.started_at) == ("held", True, NOW.at)
    assert [row.job_id for row in stranded(session, desk.event, LATER.at)] == [job.id]
