"""A job on its way: what may follow what, what is kept of it, and what is taken back."""

from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Job, ReelEntry, StateChange
from desk.services.bench import jobs
from desk.services.bench.job_states import NEXT_STATES
from desk.services.bench.redoing import redo_job
from desk.services.machines import calibrating, machines
from tests import make
from tests.services.bench.on_their_way import LATER, NOW, dropped, finished, started
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk


def changes(session: Session, job: Job) -> list[tuple[str, str]]:
    rows = session.scalars(select(StateChange).where(StateChange.job_id == job.id).order_by(StateChange.id))
    return [(row.from_state, row.to_state) for row in rows]


def test_a_started_job_knows_who_where_and_until_when(any_session: Session) -> None:
    desk = small_desk(any_session)
    job = started(any_session, desk)
    assert (job.state, job.stringer_id, job.machine_id) == (
        "on_machine",
        desk.stringers[0].id,
        desk.machines[0].id,
    )
    assert job.expected_end_at == NOW.at + timedelta(minutes=job.house_minutes)


def test_a_slower_stringer_is_expected_to_take_longer(session: Session, desk: SmallDesk) -> None:
    desk.stringers[0].pace_override = 110
    job = started(session, desk)
    assert job.expected_end_at == NOW.at + timedelta(minutes=-(-job.house_minutes * 110 // 100))


@pytest.mark.parametrize(
    ("stringer", "machine", "refused"), [(0, 1, "still has"), (1, 0, "still holds")], ids=["stringer", "machine"]
)
def test_who_or_what_has_a_racquet_begins_no_other(
    session: Session, desk: SmallDesk, stringer: int, machine: int, refused: str
) -> None:
    started(session, desk)
    second = dropped(session, desk, 1)
    with pytest.raises(Conflict, match=refused):
        jobs.start_job(session, desk.event.id, second.id, acting=NOW, **desk.bench(stringer, machine))


def test_a_finish_without_every_check_is_refused(session: Session, desk: SmallDesk) -> None:
    job = started(session, desk)
    with pytest.raises(BadInput, match="Knots are tight"):
        jobs.finish_job(
            session,
            desk.event.id,
            job.id,
            jobs.Finish(checks=("weave", "tension", "stencil", "tag")),
            acting=LATER,
        )
    assert job.state == "on_machine"


def test_a_finish_books_string_and_time(any_session: Session) -> None:
    desk = small_desk(any_session)
    job = finished(any_session, desk, used=make.cut(6.1, 5.4))
    used = any_session.scalars(select(ReelEntry).where(ReelEntry.job_id == job.id).order_by(ReelEntry.part)).all()
    assert [(row.part, row.metres, row.measured) for row in used] == [
        ("crosses", -5.4, True),
        ("mains", -6.1, True),
    ]
    assert (job.state, job.finished_at) == ("strung", LATER.at)


def test_a_finish_charges_by_the_price_list(session: Session, desk: SmallDesk) -> None:
    make.make_price(session, desk.event, "labour", 1800)
    job = finished(session, desk)
    assert [row.amount_minor for row in session.scalars(select(Charge).where(Charge.job_id == job.id))] == [1800]


def test_the_same_touch_sent_twice_counts_once(session: Session, desk: SmallDesk) -> None:
    job = dropped(session, desk)
    for _ in range(2):
        jobs.start_job(session, desk.event.id, job.id, acting=NOW, request_key="touch-1", **desk.bench())
    assert changes(session, job) == [("", "waiting"), ("waiting", "on_machine")]


def test_sisters_two_units_apart_are_stopped(session: Session, desk: SmallDesk) -> None:
    finished(session, desk, 0, stiffness=38.0)
    second = started(session, desk, 1)
    unlike = jobs.Finish(checks=ALL_CHECKED.checks, stiffness=40.0)
    with pytest.raises(BadInput, match="differs from"):
        jobs.finish_job(session, desk.event.id, second.id, unlike, acting=LATER)


def test_sisters_one_unit_apart_leave(session: Session, desk: SmallDesk) -> None:
    finished(session, desk, 0, stiffness=38.0)
    second = started(session, desk, 1)
    alike = jobs.Finish(checks=ALL_CHECKED.checks, stiffness=39.0)
    assert jobs.finish_job(session, desk.event.id, second.id, alike, acting=LATER).state == "strung"


def test_a_difference_that_was_accepted_leaves(session: Session, desk: SmallDesk) -> None:
    finished(session, desk, 0, stiffness=38.0)
    second = started(session, desk, 1)
    accepted = jobs.Finish(checks=ALL_CHECKED.checks, stiffness=40.0, accept_difference=True)
    assert jobs.finish_job(session, desk.event.id, second.id, accepted, acting=LATER).stiffness == 40.0


def test_a_problem_at_the_bench_holds_the_racquet(session: Session, desk: SmallDesk) -> None:
    job = jobs.report_problem(session, desk.event.id, started(session, desk).id, "crack at 3 h", acting=LATER)
    assert (job.state, job.held_reason, job.started_at) == ("held", "crack at 3 h", None)


def test_a_held_racquet_waits_again_when_released(session: Session, desk: SmallDesk) -> None:
    job = dropped(session, desk)
    jobs.hold_job(session, desk.event.id, job.id, "owner decides", acting=NOW)
    assert jobs.release_job(session, desk.event.id, job.id, acting=LATER).state == "waiting"


def test_holding_without_a_reason_is_refused(session: Session, desk: SmallDesk) -> None:
    with pytest.raises(BadInput, match="Say why"):
        jobs.hold_job(session, desk.event.id, dropped(session, desk).id, " ", acting=NOW)


def test_a_redo_keeps_the_first_job_and_charges_nothing(session: Session) -> None:
    desk = small_desk(session)
    make.make_price(session, desk.event, "labour", 1800)
    first = finished(session, desk)
    first.frame_check = "worn"
    again = redo_job(session, desk.event.id, first.id, "a cross was missed", acting=LATER)
    assert again.frame_check == "worn"
    assert (first.state, again.state, again.redo_of_id) == ("redo", "waiting", first.id)
    jobs.start_job(session, desk.event.id, again.id, acting=LATER, **desk.bench())
    jobs.finish_job(session, desk.event.id, again.id, ALL_CHECKED, acting=LATER)
    charged = session.scalars(select(Charge).where(Charge.job_id == again.id)).all()
    assert sum(row.amount_minor for row in charged) == 0


def test_a_cancelled_job_takes_no_further_step(session: Session, desk: SmallDesk) -> None:
    job = dropped(session, desk)
    jobs.cancel_job(session, desk.event.id, job.id, "player withdrew", acting=NOW)
    with pytest.raises(Conflict, match="is cancelled"):
        jobs.hold_job(session, desk.event.id, job.id, "why", acting=NOW)


def test_every_state_is_left_only_to_states_that_exist() -> None:
    assert {state for states in NEXT_STATES.values() for state in states} <= set(NEXT_STATES)


def test_a_machine_that_is_out_of_service_starts_nothing(session: Session, desk: SmallDesk) -> None:
    machines.take_out_of_service(session, desk.event.id, desk.machines[0].id, acting=NOW, reason="the motor smells")
    with pytest.raises(Conflict, match="Out of service: the motor smells"):
        started(session, desk)
    assert started(session, desk, number=1, bench=1).state == "on_machine"


@pytest.mark.parametrize(("reading", "refused"), [(None, "Not calibrated"), ("27", "lb off"), ("25", None)])
def test_a_machine_strings_after_the_calibration_of_today(
    session: Session, reading: str | None, refused: str | None
) -> None:
    desk = small_desk(session, calibration_required=True)
    if reading is not None:
        read = [
            calibrating.Reading(reference=Decimal(20), reading=Decimal(20), unit="kg"),
            calibrating.Reading(reference=Decimal(25), reading=Decimal(reading), unit="kg"),
        ]
        calibrating.calibrate(session, desk.event.id, desk.machines[0].id, read, acting=NOW)
    if refused is None:
        assert started(session, desk).state == "on_machine"
    else:
        with pytest.raises(Conflict, match=refused):
            started(session, desk)


def test_a_reason_that_speaks_of_damage_is_asked_about_and_one_word_lets_it_go_on(
    session: Session, desk: SmallDesk
) -> None:
    job = jobs.report_problem(session, desk.event.id, started(session, desk).id, "no crack seen", acting=LATER)
    with pytest.raises(Conflict, match="Is the frame cracked"):
        jobs.release_job(session, desk.event.id, job.id, acting=LATER)
    assert jobs.release_job(session, desk.event.id, job.id, acting=LATER, frame_is_whole=True).state == "waiting"


def test_a_frame_that_cracked_at_the_bench_does_not_go_on(session: Session, desk: SmallDesk) -> None:
    """A cracked frame is not strung, consent or no (common practice)."""
    job = jobs.report_problem(session, desk.event.id, started(session, desk).id, "Frame is cracked", acting=LATER)
    with pytest.raises(Conflict, match="Tell the owner, who keeps it"):
        jobs.release_job(session, desk.event.id, job.id, acting=LATER, frame_is_whole=True)
    assert jobs.cancel_job(session, desk.event.id, job.id, "cracked, owner told", acting=LATER).state == "cancelled"
