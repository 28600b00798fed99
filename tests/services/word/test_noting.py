"""What is noted to be told: in the transaction of its cause, to whoever asked, and nothing that is not worth a word."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Word
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.bench.redoing import string_again
from desk.services.bench.undo import undo_last
from desk.services.event.settings import change_settings
from desk.services.promise.promises import renew_promise
from desk.services.word.noting import note_late
from tests import make
from tests.make import acting, moment
from tests.services.word.asked import AskedDesk


def promise(desk: AskedDesk, number: int, ready: str, at: str = "Mon 09:30") -> None:
    renew_promise(desk.session, desk.event.id, desk.jobs[number].id, acting=acting(at), ready_at=moment(ready))


def sent(session: Session) -> None:
    """Let all that waits have been sent."""
    for word in session.scalars(select(Word).where(Word.state == "waiting")):
        word.state = "sent"
    session.flush()


def test_a_racquet_that_is_strung_is_noted_once(desk: AskedDesk) -> None:
    desk.string(0, "Mon 10:00")
    assert desk.words() == [("ready", "waiting")]


def test_nobody_who_asked_for_nothing_is_told(session: Session) -> None:
    desk = AskedDesk(session, asks=False)
    desk.string(0, "Mon 10:00")
    assert desk.words() == []


def test_what_is_rolled_back_is_told_to_nobody(any_database: Database) -> None:
    with any_database.writing() as session:
        desk = AskedDesk(session)
        event_id, job_id = desk.event.id, desk.jobs[0].id
    with pytest.raises(ZeroDivisionError), any_database.writing() as session:
        jobs.hold_job(session, event_id, job_id, "a crack", acting=acting("Mon 10:00"))
        raise ZeroDivisionError
    with any_database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Word)) == 0


def test_a_wrong_touch_taken_back_at_once_is_never_told(session: Session, desk: AskedDesk) -> None:
    job = desk.string(0, "Mon 10:00")
    undo_last(session, desk.event.id, job.id, acting=acting("Mon 10:01"))
    assert desk.words() == [("ready", "dropped")]


def test_a_wrong_touch_that_was_told_is_taken_back_and_told_anew(session: Session, desk: AskedDesk) -> None:
    job = desk.string(0, "Mon 10:00")
    sent(session)
    undo_last(session, desk.event.id, job.id, acting=acting("Mon 10:05"))
    assert desk.words() == [("ready", "sent"), ("taken_back", "waiting")]
    sent(session)
    jobs.finish_job(session, desk.event.id, job.id, make_finish(), acting=acting("Mon 10:20"))
    assert desk.words()[2:] == [("ready", "waiting")]


def make_finish() -> jobs.Finish:
    return jobs.Finish(checks=tuple(jobs.BENCH_CHECKS))


def test_a_racquet_strung_again_after_it_was_told_ready_is_taken_back(session: Session, desk: AskedDesk) -> None:
    job = desk.string(0, "Mon 10:00")
    sent(session)
    string_again(session, desk.event.id, job.id, "a missed cross", acting=acting("Mon 10:05"))
    assert desk.words() == [("ready", "sent"), ("taken_back", "waiting")]


def test_a_held_racquet_is_told_and_one_released_soon_is_not(session: Session, desk: AskedDesk) -> None:
    jobs.hold_job(session, desk.event.id, desk.jobs[0].id, "wrong grip", acting=acting("Mon 10:00"))
    assert desk.words() == [("held", "waiting")]
    jobs.release_job(session, desk.event.id, desk.jobs[0].id, acting=acting("Mon 10:01"))
    assert desk.words() == [("held", "dropped")]


@pytest.mark.parametrize(
    ("minutes", "told"), [(5, ["later"]), (0, []), (4, []), (90, ["later"]), (-30, []), (-60, ["sooner"])]
)
def test_a_changed_time_is_told_beyond_the_margin_of_the_screens(
    session: Session, desk: AskedDesk, minutes: int, told: list[str]
) -> None:
    before = desk.jobs[0].promised_at or moment("Mon 12:00")
    renew_promise(session, desk.event.id, desk.jobs[0].id, acting=acting("Mon 08:00"), ready_at=moment("Mon 12:00"))
    for word in session.scalars(select(Word)):
        word.state, word.known_at = "sent", before
    session.flush()
    first = len(desk.words())
    ready = moment("Mon 12:00") + timedelta(minutes=minutes)
    renew_promise(session, desk.event.id, desk.jobs[0].id, acting=acting("Mon 09:30"), ready_at=ready)
    assert [occasion for occasion, _ in desk.words()[first:]] == told


def test_changes_that_follow_each_other_become_one_word(session: Session, desk: AskedDesk) -> None:
    promise(desk, 0, "Mon 14:00")
    promise(desk, 0, "Mon 14:30", "Mon 09:31")
    promise(desk, 0, "Mon 15:00", "Mon 09:32")
    assert [state for _, state in desk.words()] == ["dropped", "dropped", "waiting"]
    word = session.scalars(select(Word).order_by(Word.id.desc())).first()
    first = session.scalars(select(Word).order_by(Word.id)).first()
    assert (word.ready_at, word.known_at) == (moment("Mon 15:00"), first.known_at)


def test_a_change_that_is_taken_back_before_it_was_told_is_no_word(session: Session, desk: AskedDesk) -> None:
    promise(desk, 0, "Mon 14:00")
    sent(session)
    promise(desk, 0, "Mon 14:30", "Mon 09:40")
    promise(desk, 0, "Mon 14:00", "Mon 09:41")
    assert desk.words() == [("later", "sent"), ("later", "dropped")]


def test_what_was_told_last_counts_and_not_what_nobody_heard(session: Session, desk: AskedDesk) -> None:
    promise(desk, 0, "Mon 14:00")
    sent(session)
    promise(desk, 0, "Mon 13:40", "Mon 09:40")
    promise(desk, 0, "Mon 14:00", "Mon 09:50")
    assert desk.words() == [("later", "sent")]


def test_a_racquet_that_becomes_ready_says_nothing_more_of_its_time(desk: AskedDesk) -> None:
    promise(desk, 0, "Mon 14:00")
    desk.string(0, "Mon 09:31")
    assert desk.words() == [("later", "dropped"), ("ready", "waiting")]


def test_what_is_not_ready_as_told_is_told_once(session: Session) -> None:
    desk = AskedDesk(session, racquets=1)
    promised = desk.jobs[0].promised_at
    assert promised is not None
    assert [note_late(session, desk.event, promised + timedelta(minutes=after)) for after in (0, 4, 5, 6, 60)] == [
        *(0, 0, 1, 0, 0)
    ]
    assert desk.words() == [("late", "waiting")]


def test_the_switch_says_nothing_at_all(session: Session, desk: AskedDesk) -> None:
    change_settings(session, desk.event.id, {"tells_anybody": False}, acting=acting())
    desk.string(0, "Mon 10:00")
    assert (desk.words(), note_late(session, desk.event, moment("Wed 10:00"))) == ([], 0)
    with pytest.raises(Conflict, match="Nobody is told anything"):
        desk.ask("other@example.org")


def test_the_demo_notes_and_tells_nobody(desk: AskedDesk) -> None:
    make.set_clock(desk.event, "Mon 10:00")
    desk.string(0, "Mon 10:00")
    assert desk.words() == [("ready", "dropped")]
