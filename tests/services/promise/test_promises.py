"""The ready time told to a player, what becomes of it, and who hears when it will break."""

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from desk.errors import BadInput, Busy, Conflict
from desk.models import Assignment, Event, Job, LogEntry, PlanRun, Promise
from desk.models.database import Database
from desk.queries.promise.promises import BreakingPromise, promises_about_to_break
from desk.queries.promise.promises_so_far import promises_so_far
from desk.services.acting import lock_event
from desk.services.promise import promises
from desk.trade.bench.promise import Told
from tests.make import acting, make_event, make_job, make_machine, make_player, make_stringer, moment


def told(session: Session, event: Event, end: str, jobs_ahead: int) -> Told:
    return promises_so_far(session, event).tell(moment(end), jobs_ahead=jobs_ahead, minutes=22, needed_by_at=None)


class Desk:
    """One stringer at one machine, and a plan of their racquets."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.event: Event = make_event(session)
        self.player = make_player(session, self.event, name="A")
        self.stringer = make_stringer(session, self.event)
        self.machine = make_machine(session, self.event)

    def job(self, **over: Any) -> Job:
        return make_job(self.session, self.player, **over)

    def plan(self, places: list[tuple[Job, str, str]], **over: Any) -> None:
        """Put a plan in force: each job with its start and end on the first day."""
        values: dict[str, Any] = {
            "made_at": moment("Mon 12:00"),
            "change_number": self.event.change_number,
            "status": "feasible",
            "total": 0,
            "bound": 0,
            "seconds": 0.1,
            "costs": {},
            "unplaced": [],
            "reasons": {},
        }
        run = PlanRun(event_id=self.event.id, **(values | over))
        self.session.add(run)
        self.session.flush()
        for job, start, end in places:
            self.session.add(
                Assignment(
                    run_id=run.id,
                    job_id=job.id,
                    stringer_id=self.stringer.id,
                    machine_id=self.machine.id,
                    start_at=moment(f"Mon {start}"),
                    end_at=moment(f"Mon {end}"),
                )
            )
        self.event.current_run_id = run.id
        self.event.planned_change_number = self.event.change_number
        self.session.flush()

    def promise(self, job: Job, text: str, at: str = "Mon 12:00", reason: str = "") -> Promise:
        return promises.give_promise(
            self.session,
            self.event,
            job,
            acting=acting(at),
            told=told(self.session, self.event, "Mon 13:00", 1),
            ready_at=moment(f"Mon {text}"),
            reason=reason,
        )


@pytest.fixture
def desk(session: Session) -> Desk:
    return Desk(session)


@pytest.mark.parametrize("jobs_ahead", [0, 1, 4, 9])
@pytest.mark.parametrize("end", ["13:00", "13:01", "13:04"])
def test_a_promise_is_a_whole_five_minutes_after_the_planned_end(
    session: Session, event: Event, jobs_ahead: int, end: str
) -> None:
    ready_at = told(session, event, f"Mon {end}", jobs_ahead).ready_at
    assert ready_at > moment(f"Mon {end}")
    assert (ready_at.minute % 5, ready_at.second) == (0, 0)


def test_a_longer_queue_gets_a_wider_margin(session: Session, event: Event) -> None:
    found = [told(session, event, "Mon 13:00", ahead).ready_at for ahead in (0, 3, 9, 20)]
    assert found == sorted(set(found))


def test_an_event_that_wants_surer_promises_tells_later_times(session: Session) -> None:
    bold, sure = make_event(session, promise_per_cent=60), make_event(session, promise_per_cent=99)
    assert told(session, bold, "Mon 13:00", 5).ready_at < told(session, sure, "Mon 13:00", 5).ready_at


def test_a_given_promise_keeps_plan_margin_and_giver(session: Session, desk: Desk) -> None:
    job = desk.job()
    expected = told(session, desk.event, "Mon 13:02", 2)
    given = promises.give_promise(session, desk.event, job, acting=acting(), told=expected)
    assert (given.ready_at, given.planned_end_at, given.by) == (expected.ready_at, moment("Mon 13:02"), "lead")
    assert timedelta(minutes=given.margin_minutes) <= given.ready_at - moment("Mon 13:02")
    assert promises.current_promise(job) is given


def test_the_time_that_the_player_was_shown_is_the_one_kept(desk: Desk) -> None:
    assert desk.promise(desk.job(), "13:20").ready_at == moment("Mon 13:20")


def test_a_changed_promise_stands_beside_the_old_one(session: Session, desk: Desk) -> None:
    job = desk.job()
    first = desk.promise(job, "13:20")
    second = desk.promise(job, "13:50", at="Mon 13:00", reason="a machine failed")
    assert job.promises == [first, second]
    assert promises.current_promise(job) is second
    said = session.scalars(select(LogEntry.text).where(LogEntry.subject == "promises")).all()
    assert said == [f"{job.code} promised for Mon 13:50 instead of Mon 13:20: a machine failed"]


def test_the_same_promise_again_adds_nothing(desk: Desk) -> None:
    job = desk.job()
    assert desk.promise(job, "13:20") is desk.promise(job, "13:20")
    assert len(job.promises) == 1


def test_a_time_that_has_passed_is_not_promised(desk: Desk) -> None:
    with pytest.raises(BadInput, match="passed already"):
        desk.promise(desk.job(), "11:55")


def test_nothing_is_promised_of_a_racquet_that_is_done(desk: Desk) -> None:
    with pytest.raises(Conflict, match="not in the queue"):
        desk.promise(desk.job(state="strung"), "13:20")


def test_a_new_promise_comes_from_the_plan_in_force(session: Session, desk: Desk) -> None:
    before, job = desk.job(), desk.job()
    desk.plan([(before, "12:10", "12:32"), (job, "12:32", "12:54")])
    given = promises.renew_promise(session, desk.event.id, job.id, acting=acting(), reason="play moved")
    expected = told(session, desk.event, "Mon 12:54", 1).ready_at
    assert (given.ready_at, given.reason) == (expected, "play moved")


def test_a_new_promise_waits_for_whoever_changes_the_event(postgres: Database) -> None:
    with postgres.writing() as session:
        desk = Desk(session)
        job = desk.job()
        desk.plan([(job, "12:10", "12:32")])
        event_id, job_id = desk.event.id, job.id
    with postgres.writing() as first, postgres.writing() as second:
        lock_event(first, event_id)
        second.execute(text("SET LOCAL lock_timeout = '200ms'"))
        with pytest.raises(Busy):
            promises.renew_promise(second, event_id, job_id, acting=acting())
        second.rollback()


def test_a_racquet_without_a_place_gets_no_reckoned_promise(session: Session, desk: Desk) -> None:
    with pytest.raises(Conflict, match="no place in the plan"):
        promises.renew_promise(session, desk.event.id, desk.job().id, acting=acting())


def breaking(desk: Desk, at: str = "Mon 12:00") -> list[BreakingPromise]:
    return promises_about_to_break(desk.session, desk.event, moment(at))


def test_a_promise_that_the_plan_keeps_is_not_told(desk: Desk) -> None:
    job = desk.job()
    desk.promise(job, "13:00")
    desk.plan([(job, "12:38", "13:00")])
    assert breaking(desk) == []


def test_a_promise_that_will_break_comes_with_who_could_wait(desk: Desk) -> None:
    patient, job = desk.job(needed_by_at=moment("Mon 15:00")), desk.job()
    desk.promise(job, "12:50")
    desk.plan([(patient, "12:20", "12:42"), (job, "12:42", "13:04")], reasons={f"J{job.serial:04d}": "Two before it."})
    (row,) = breaking(desk)
    assert (row.code, row.player, row.late_minutes, row.let_wait) == (job.code, "A", 14, (patient.code,))
    assert (row.start_by_at, row.planned_end_at) == (moment("Mon 12:28"), moment("Mon 13:04"))
    assert row.to_keep == f"It must be on a machine by 12:28: let {patient.code} wait; that makes none of them late."
    assert (row.reason, row.stringer, row.machine) == ("Two before it.", desk.stringer.name, desk.machine.name)


def test_a_racquet_that_would_be_done_in_the_minute_it_is_needed_can_wait(desk: Desk) -> None:
    patient, job = desk.job(needed_by_at=moment("Mon 13:04")), desk.job()
    desk.promise(job, "12:50")
    desk.plan([(patient, "12:20", "12:42"), (job, "12:42", "13:04")])
    (row,) = breaking(desk)
    assert row.let_wait == (patient.code,)


@pytest.mark.parametrize("needed", ["12:45", "13:03"])
def test_nobody_is_asked_to_wait_who_would_be_late_then(desk: Desk, needed: str) -> None:
    tight, job = desk.job(needed_by_at=moment(f"Mon {needed}")), desk.job()
    desk.promise(job, "12:50")
    desk.plan([(tight, "12:20", "12:42"), (job, "12:42", "13:04")])
    (row,) = breaking(desk)
    assert row.let_wait == ()
    assert row.to_keep == (
        "It must be on a machine by 12:28: that takes another stringer or machine, or makes a racquet before it late."
    )


def test_a_promise_past_saving_asks_for_a_later_time(desk: Desk) -> None:
    job = desk.job()
    desk.promise(job, "12:15")
    desk.plan([(job, "12:10", "12:32")])
    (row,) = breaking(desk)
    assert (row.start_by_at, row.to_keep) == (None, "It can no longer be kept; tell the player a later time.")


def test_a_racquet_that_the_plan_left_out_breaks_its_promise(desk: Desk) -> None:
    job = desk.job()
    desk.promise(job, "13:00")
    desk.plan([])
    (row,) = breaking(desk)
    assert (row.planned_end_at, row.late_minutes, row.start_by_at) == (None, 0, moment("Mon 12:38"))


def test_a_racquet_that_came_after_the_plan_is_not_called_broken(desk: Desk) -> None:
    desk.plan([])
    desk.promise(desk.job(), "13:00")
    assert breaking(desk) == []


def teach(desk: Desk, delays: list[int]) -> float:
    """Let promises of a margin of 10 minutes end DELAYS after their planned end; return what that taught."""
    for delay in delays:
        job = desk.job(state="strung", finished_at=moment("Mon 11:00") + timedelta(minutes=delay))
        job.promises.append(
            Promise(
                ready_at=moment("Mon 11:10"),
                given_at=moment("Mon 09:00"),
                by="desk",
                planned_end_at=moment("Mon 11:00"),
                margin_minutes=10,
            )
        )
    desk.session.flush()
    desk.event.change_number += 1
    return promises_so_far(desk.session, desk.event).correction


def test_an_event_whose_racquets_come_late_widens_its_margins(session: Session) -> None:
    assert teach(Desk(session), [18] * 40) > 1.3


def test_an_event_whose_racquets_come_early_narrows_its_margins(session: Session) -> None:
    assert teach(Desk(session), [-5] * 60) < 1


def test_one_promise_teaches_less_than_many(desk: Desk) -> None:
    assert 1 < teach(desk, [18]) < teach(desk, [18] * 39)


def test_only_the_first_promise_of_a_racquet_teaches(session: Session, desk: Desk) -> None:
    teach(desk, [18] * 40)
    for job in session.scalars(select(Job)):
        job.promises.append(
            Promise(
                ready_at=moment("Mon 11:30"),
                given_at=moment("Mon 11:05"),
                by="desk",
                planned_end_at=moment("Mon 11:20"),
                margin_minutes=10,
            )
        )
    session.flush()
    before = promises_so_far(session, desk.event)
    desk.event.change_number += 1
    assert promises_so_far(session, desk.event) == before
    assert before.promises == 40
