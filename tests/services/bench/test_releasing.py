"""A racquet that was held for string goes on when the string comes, and nobody has to remember it."""

from dataclasses import dataclass

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Job, LogEntry
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.bench.undo import undo_last
from desk.services.counter.drop_offs import take_drop_off
from desk.services.string import new_reels, store
from tests import make
from tests.make import acting
from tests.services.small_desk import SmallDesk, small_desk

NOW = acting("Mon 10:00")
LATER = acting("Mon 11:00", by="front desk")


@dataclass
class Short:
    """A desk with string for one racquet: the first is promised, the second held."""

    session: Session
    desk: SmallDesk
    promised: Job
    held: Job

    @property
    def where(self) -> tuple[Session, int]:
        return self.session, self.desk.event.id


def set_up(session: Session) -> Short:
    desk = small_desk(session)
    store.correct_reel(session, desk.event.id, desk.reel.id, 12, acting=NOW, note="measured")
    first, second = take_drop_off(
        session, desk.event.id, desk.form(desk.racquet_form(0), desk.racquet_form(1)), acting=NOW
    ).jobs
    assert (first.state, second.state, second.promises) == ("waiting", "held", [])
    return Short(session, desk, first, second)


@pytest.fixture
def short(database: Database):
    with database.writing() as session:
        yield set_up(session)


def test_string_that_is_received_lets_the_racquet_go_on(any_session: Session) -> None:
    short = set_up(any_session)
    before = short.desk.event.change_number
    store.receive(*short.where, short.desk.reel.id, 20, acting=LATER)
    assert (short.held.state, short.held.held_reason) == ("waiting", "")
    assert short.desk.event.change_number > before
    line = any_session.scalars(select(LogEntry).order_by(LogEntry.id.desc()).limit(1)).one()
    assert (line.text, line.by, line.job_id) == (
        f"{short.held.code} waits again: its string is there now", "front desk", short.held.id,
    )  # fmt: skip


def test_it_gets_its_ready_time_when_it_goes_on(short: Short) -> None:
    store.receive(*short.where, short.desk.reel.id, 20, acting=LATER)
    (promise,) = short.held.promises
    # Free benches: some 20 minutes of work and the margin.
    assert 20 <= (promise.ready_at - LATER.at).total_seconds() / 60 <= 60
    assert promise.by == "front desk"


def test_a_new_reel_lets_it_go_on(short: Short) -> None:
    new = new_reels.NewReels(string_id=short.desk.string.id, metres=200)
    new_reels.add_reels(*short.where, new, acting=LATER)
    assert short.held.state == "waiting"


def test_a_correction_upwards_lets_it_go_on(short: Short) -> None:
    store.correct_reel(*short.where, short.desk.reel.id, 24, acting=LATER, note="measured again")
    assert short.held.state == "waiting"


def test_a_reel_put_back_lets_it_go_on(session: Session) -> None:
    desk = small_desk(session)
    store.withdraw(session, desk.event.id, desk.reel.id, acting=NOW)
    (job,) = take_drop_off(session, desk.event.id, desk.form(), acting=NOW).jobs
    assert job.state == "held"
    store.put_back(session, desk.event.id, desk.reel.id, acting=LATER)
    assert job.state == "waiting"


def test_a_racquet_that_is_cancelled_leaves_its_string_to_the_next(short: Short) -> None:
    jobs.cancel_job(*short.where, short.promised.id, "not needed", acting=LATER)
    assert short.held.state == "waiting"


def test_string_that_is_not_enough_lets_nothing_go_on(short: Short) -> None:
    store.receive(*short.where, short.desk.reel.id, 5, acting=LATER)
    assert short.held.state == "held"


def test_another_string_lets_nothing_go_on(short: Short) -> None:
    other = make.make_string(short.session, short.desk.event, name="String B")
    new_reels.add_reels(*short.where, new_reels.NewReels(string_id=other.id, metres=200), acting=LATER)
    assert short.held.state == "held"


def test_the_one_that_is_needed_first_goes_on_where_string_is_for_one(short: Short) -> None:
    urgent = take_drop_off(
        short.session,
        short.desk.event.id,
        short.desk.form(
            short.desk.racquet_form(2, needed_by_kind="time", needed_by_at=make.moment("Mon 13:00")), key="two"
        ),
        acting=NOW,
    ).jobs[0]
    assert urgent.state == "held"
    store.receive(*short.where, short.desk.reel.id, 12, acting=LATER)
    assert (urgent.state, short.held.state) == ("waiting", "held")


def test_a_racquet_held_for_another_reason_stays_held(short: Short) -> None:
    jobs.hold_job(*short.where, short.promised.id, "grommet out at 2 o'clock", acting=NOW)
    store.receive(*short.where, short.desk.reel.id, 100, acting=LATER)
    assert (short.promised.state, short.held.state) == ("held", "waiting")


def test_a_bench_that_found_no_string_goes_on_when_string_comes(short: Short) -> None:
    jobs.start_job(*short.where, short.promised.id, acting=NOW, **short.desk.bench())
    jobs.report_problem(*short.where, short.promised.id, "String is missing", acting=NOW)
    jobs.cancel_job(*short.where, short.held.id, "not needed", acting=NOW)
    assert short.promised.state == "held"
    store.receive(*short.where, short.desk.reel.id, 1, acting=LATER)
    assert short.promised.state == "waiting"


def test_one_that_was_kept_back_stays_until_it_is_released_by_hand(short: Short) -> None:
    reason = short.held.held_reason
    store.receive(*short.where, short.desk.reel.id, 20, acting=LATER)
    undo_last(*short.where, short.held.id, acting=LATER)
    assert (short.held.state, short.held.held_reason) == ("held", f"Kept back by front desk: {reason}")
    store.receive(*short.where, short.desk.reel.id, 20, acting=LATER)
    assert short.held.state == "held"
    jobs.release_job(*short.where, short.held.id, acting=LATER)
    assert (short.held.state, len(short.held.promises)) == ("waiting", 1)


def test_a_hold_that_is_released_and_taken_back_keeps_its_reason(short: Short) -> None:
    jobs.hold_job(*short.where, short.promised.id, "grommet out at 2 o'clock", acting=NOW)
    jobs.release_job(*short.where, short.promised.id, acting=LATER)
    undo_last(*short.where, short.promised.id, acting=LATER)
    assert (short.promised.state, short.promised.held_reason) == ("held", "grommet out at 2 o'clock")
