"""What goes out: together, not at night, once; tried again with growing pauses, and never after a doubt by itself."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import select

from desk.errors import Conflict
from desk.models import Event, LogEntry, Word, WordSender
from desk.models.database import Database
from desk.sender import Sender
from desk.services.bench.undo import undo_last
from desk.services.counter.handovers import hand_over
from desk.services.event.settings import change_settings
from desk.services.records.backups import back_up
from desk.services.records.restoring import restore
from desk.services.word.sending import begin_letter, give_up, hold_lease, try_again
from desk.services.word.words import CUT_OFF, doubt_copies
from tests.make import acting, moment
from tests.services.word.asked import AskedDesk, Postman


class Post:
    """A desk with somebody who asked, a sender, and a postman who answers as told."""

    def __init__(self, database: Database, *answers: str) -> None:
        self.database = database
        with database.writing() as session:
            self.desk = AskedDesk(session)
            self.event_id = self.desk.event.id
            for job in self.desk.jobs:
                job.promises[-1].ready_at = moment("Wed 20:00")
        self.postman = Postman(*answers)
        self.sender = Sender(database, self.postman, lease_seconds=90)

    def string(self, number: int, at: str) -> None:
        with self.database.writing() as session:
            self.desk.session = session
            self.desk.string(number, at)

    def send(self, at: str | datetime) -> int:
        self.sender._beat_at = float("-inf")
        return self.sender.run_once(moment(at) if isinstance(at, str) else at)

    def words(self) -> list[tuple[str, str]]:
        with self.database.reading() as session:
            self.desk.session = session
            return self.desk.words()

    def rows(self) -> list[Word]:
        with self.database.reading() as session:
            return list(session.scalars(select(Word).order_by(Word.id)))


@pytest.fixture
def post(any_database: Database) -> Iterator[Post]:
    yield Post(any_database)


def test_racquets_ready_within_minutes_go_in_one_message(post: Post) -> None:
    post.string(0, "Mon 10:00")
    assert post.send("Mon 10:01") == 0
    post.string(1, "Mon 10:01")
    assert (post.send("Mon 10:02"), post.send("Mon 10:03")) == (0, 1)
    (letter,) = post.postman.letters
    assert letter.title == "2 racquets are ready"
    assert [line.partition(":")[2] for line in letter.lines] == [" all ready to collect, the last strung at 10:01."]
    assert post.send("Mon 10:30") == 0


def test_nobody_waits_for_ever_for_others_that_follow(post: Post) -> None:
    for number, minute in enumerate((0, 2, 4)):
        post.string(number, f"Mon 10:0{minute}")
    assert (post.send("Mon 10:05"), post.send("Mon 10:06")) == (0, 1)


def test_at_night_it_waits_until_morning(post: Post) -> None:
    post.string(0, "Mon 22:30")
    assert [post.send(at) for at in ("Mon 22:40", "Tue 03:00", "Tue 06:59", "Tue 07:00")] == [0, 0, 0, 1]
    assert post.postman.letters[0].lines[0].endswith("strung on Monday 12 May at 22:30.")


def test_what_was_collected_before_morning_is_not_told(post: Post) -> None:
    post.string(0, "Mon 22:30")
    with post.database.writing() as session:
        chosen = [post.desk.jobs[0].id]
        hand_over(session, post.event_id, chosen, collected_by="the player", acting=acting("Mon 22:45"))
    assert (post.send("Tue 07:00"), post.words()) == (0, [("ready", "dropped")])


def test_the_switch_drops_what_waits(post: Post) -> None:
    post.string(0, "Mon 10:00")
    with post.database.writing() as session:
        change_settings(session, post.event_id, {"tells_anybody": False}, acting=acting())
    assert (post.send("Mon 10:10"), post.words()) == (0, [("ready", "dropped")])


def test_an_event_with_a_clock_of_its_own_sends_nothing(post: Post) -> None:
    post.string(0, "Mon 10:00")
    with post.database.writing() as session:
        session.get_one(Event, post.event_id).clock_real_at = moment("Mon 10:00")
    assert (post.send("Mon 10:10"), post.postman.letters) == (0, [])


def test_a_try_that_did_not_go_is_repeated_with_growing_pauses_and_then_has_failed(any_database: Database) -> None:
    post = Post(any_database, "again")
    post.string(0, "Mon 10:00")
    tried, at = [], moment("Mon 10:02")
    while at < moment("Mon 12:00"):
        if post.send(at):
            tried.append(at)
        at += timedelta(minutes=1)
    pauses = [(after - before) // timedelta(minutes=1) for before, after in pairwise(tried)]
    assert (pauses, post.words()) == ([1, 2, 5, 15, 30], [("ready", "failed")])


def test_a_doubt_is_not_sent_again_by_itself(any_database: Database) -> None:
    post = Post(any_database, "uncertain")
    post.string(0, "Mon 10:00")
    assert [post.send(at) for at in ("Mon 10:02", "Mon 10:30", "Mon 14:00")] == [1, 0, 0]
    assert post.words() == [("ready", "uncertain")]


def test_somebody_may_send_it_again_or_give_it_up(any_database: Database) -> None:
    post = Post(any_database, "failed", "sent")
    post.string(0, "Mon 10:00")
    post.send("Mon 10:02")
    (word,) = post.rows()
    with any_database.writing() as session:
        try_again(session, post.event_id, word.id, acting=acting("Mon 10:05"))
    assert (post.send("Mon 10:05"), post.words()) == (1, [("ready", "sent")])
    with pytest.raises(Conflict, match="only one that failed"), any_database.writing() as session:
        try_again(session, post.event_id, word.id, acting=acting("Mon 10:06"))
    with pytest.raises(Conflict, match="nothing to give up"), any_database.writing() as session:
        give_up(session, post.event_id, word.id, acting=acting("Mon 10:06"))


def test_what_is_no_longer_true_is_not_sent_again(any_database: Database) -> None:
    post = Post(any_database, "failed")
    post.string(0, "Mon 10:00")
    post.send("Mon 10:02")
    with any_database.writing() as session:
        undo_last(session, post.event_id, post.desk.jobs[0].id, acting=acting("Mon 10:04"))
    (word,) = post.rows()
    with pytest.raises(Conflict, match="no longer true"), any_database.writing() as session:
        try_again(session, post.event_id, word.id, acting=acting("Mon 10:05"))
    with any_database.writing() as session:
        give_up(session, post.event_id, word.id, acting=acting("Mon 10:05"))
    assert post.rows()[0].why == "it was failed; given up by lead"


def test_a_phone_that_is_gone_is_told_no_more(any_database: Database) -> None:
    post = Post(any_database, "gone")
    post.string(0, "Mon 10:00")
    post.send("Mon 10:02")
    post.string(1, "Mon 10:30")
    assert (post.send("Mon 10:40"), post.words()) == (0, [("ready", "dropped")])
    with any_database.reading() as session:
        assert session.get_one(type(post.desk.way), post.desk.way.id).address == ""


def test_a_message_cut_off_by_a_kill_is_uncertain_and_the_next_sender_leaves_it(post: Post) -> None:
    post.string(0, "Mon 10:00")
    post.send("Mon 10:01")
    with post.database.writing() as session:
        assert begin_letter(session, post.event_id, post.desk.way.id, real_now=moment("Mon 10:02")) is not None
    other = Sender(post.database, post.postman, lease_seconds=90)
    assert (other.run_once(moment("Mon 10:02")), post.words()) == (0, [("ready", "sending")])
    later = moment("Mon 10:10")
    other._beat_at = float("-inf")
    assert (other.run_once(later), post.words()) == (0, [("ready", "uncertain")])
    assert (post.rows()[0].why, post.postman.letters) == (CUT_OFF, [])


def test_only_one_of_two_senders_sends(post: Post) -> None:
    now = moment("Mon 10:00")
    with post.database.writing() as session:
        assert hold_lease(session, "one", real_now=now, seconds=60)
        assert not hold_lease(session, "two", real_now=now + timedelta(seconds=59), seconds=60)
        assert hold_lease(session, "two", real_now=now + timedelta(seconds=60), seconds=60)
        assert not hold_lease(session, "one", real_now=now + timedelta(seconds=61), seconds=60)
        assert session.scalars(select(WordSender.beats)).one() == 2


def test_a_lease_of_a_clock_that_was_set_back_is_free(post: Post) -> None:
    with post.database.writing() as session:
        assert hold_lease(session, "one", real_now=moment("Wed 10:00"), seconds=60)
        assert hold_lease(session, "two", real_now=moment("Mon 10:00"), seconds=60)


def test_a_fault_of_the_program_counts_as_a_doubt_and_ends_nothing(any_database: Database) -> None:
    post = Post(any_database)

    def broken(*_: object) -> None:
        raise RuntimeError("no")

    post.sender.send = broken
    post.string(0, "Mon 10:00")
    assert (post.send("Mon 10:02"), post.words()) == (1, [("ready", "uncertain")])


def test_what_waited_in_a_copy_is_not_sent_by_itself(post: Post) -> None:
    post.string(0, "Mon 10:00")
    with post.database.writing() as session:
        doubt_copies(session)
    assert (post.send("Mon 10:10"), post.words()) == (0, [("ready", "uncertain")])


def test_a_copy_that_is_brought_back_sends_nothing_by_itself(database: Database, tmp_path: Path) -> None:
    post = Post(database)
    post.string(0, "Mon 10:00")
    back_up(database, tmp_path / "copy.sqlite")
    other = Database(f"sqlite:///{tmp_path}/other.sqlite")
    restore(tmp_path / "copy.sqlite", other, set_aside=False, now=moment("Mon 11:00"))
    with other.reading() as session:
        assert session.scalars(select(Word.state)).all() == ["uncertain"]
    assert post.words() == [("ready", "waiting")]


def test_the_log_says_who_was_told_of_what_and_no_address(post: Post) -> None:
    post.string(0, "Mon 10:00")
    post.send("Mon 10:02")
    with post.database.reading() as session:
        texts = session.scalars(select(LogEntry.text).where(LogEntry.subject == "word").order_by(LogEntry.id)).all()
    name, code = post.desk.desk.player.name, post.desk.jobs[0].code
    assert texts[-1] == f"{name} was told by e-mail: {code} ready"
