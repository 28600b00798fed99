"""A sender that is killed: each message arrives once, or is shown as one that may not have arrived, and never twice."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import select, update

from desk.models import Word, WordWay
from desk.models.database import Database
from desk.queries.word.words import sender_beats
from desk.services.word.sending import try_again
from desk.services.word.word_ways import Asked, ask
from tests.make import acting
from tests.services.word.asked import AskedDesk
from tests.services.word.phone import Phone
from tests.services.word.servers import Certificate, mail_service, push_service

pytestmark = pytest.mark.slow
LONGEST_SECONDS = 60.0
AT_ANY_HOUR = {"word_from_hour": 0, "word_until_hour": 24}


class Records:
    """Records with a racquet that is ready and a message that waits."""

    def __init__(self, database: Database) -> None:
        self.database = database
        with database.writing() as session:
            desk = AskedDesk(session, racquets=1, **AT_ANY_HOUR)
            self.event_id, self.player_id = desk.event.id, desk.desk.player.id
            desk.string(0, "Mon 09:30")

    def move_to_phone(self, address: str) -> Phone:
        """Let the message go to a phone whose push service is at ADDRESS."""
        phone = Phone.new()
        keys = {"public_key": phone.keys["p256dh"], "auth_secret": phone.keys["auth"]}
        with self.database.writing() as session:
            session.execute(update(WordWay).values(kind="phone", address=address, **keys))
        return phone

    def word(self) -> Word:
        with self.database.reading() as session:
            return session.scalars(select(Word)).one()

    def wait_for(self, *states: str) -> None:
        until(lambda: self.word().state in states)


def until(reached: Callable[[], bool]) -> None:
    end = time.monotonic() + LONGEST_SECONDS
    while not reached():
        assert time.monotonic() < end, "it did not come so far"
        time.sleep(0.05)


@contextmanager
def sender(records: Records, port: int, certificate: Certificate, kind: str = "SEND") -> Iterator[subprocess.Popen]:
    command = [sys.executable, "-m", "tests.services.word.sender_process"]
    process = subprocess.Popen(
        [*command, records.database.url, kind, str(port), str(certificate.file)],
        cwd=Path(__file__).parents[3],
        env=os.environ | {"PYTHONPATH": "."},
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def kill(process: subprocess.Popen) -> None:
    process.send_signal(signal.SIGKILL)
    process.wait()


def test_without_a_kill_it_arrives_once(database: Database, certificate: Certificate) -> None:
    records = Records(database)
    with mail_service(certificate) as service, sender(records, service.port, certificate):
        records.wait_for("sent")
        time.sleep(2.5)
        assert len(service.received) == 1


@pytest.mark.parametrize("way", ["mail", "phone"])
def test_killed_between_sending_and_storing_it_arrived_once_and_is_shown_as_uncertain(
    database: Database, certificate: Certificate, way: str
) -> None:
    records, reached = Records(database), threading.Event()

    def hold() -> None:
        reached.set()
        threading.Event().wait(20)

    with mail_service(certificate) as mail, push_service(certificate) as push:
        mail.before_end = push.before_answer = hold
        service = mail if way == "mail" else push
        if way == "phone":
            phone = records.move_to_phone(push.address)
        with sender(records, mail.port, certificate) as first:
            assert reached.wait(LONGEST_SECONDS)
            kill(first)
        mail.before_end = push.before_answer = lambda: None
        with sender(records, mail.port, certificate):
            records.wait_for("uncertain")
            time.sleep(2.5)
        assert (records.word().state, len(service.received)) == ("uncertain", 1)
        if way == "phone":
            assert b"ready" in phone.read(push.received[0][2])


def test_killed_between_marking_and_sending_nothing_arrived_until_somebody_says_so(
    database: Database, certificate: Certificate
) -> None:
    records = Records(database)
    with mail_service(certificate) as service:
        with sender(records, service.port, certificate, "WAIT") as first:
            records.wait_for("sending")
            kill(first)
        with sender(records, service.port, certificate):
            records.wait_for("uncertain")
            assert service.received == []
            with database.writing() as session:
                try_again(session, records.event_id, records.word().id, acting=acting("Mon 09:40"))
            records.wait_for("sent")
        assert len(service.received) == 1


def test_killed_before_marking_the_next_sends_it(database: Database, certificate: Certificate) -> None:
    records = Records(database)
    with database.writing() as session:
        session.execute(update(Word).values(state="dropped"))
    with mail_service(certificate) as service:
        with sender(records, service.port, certificate) as first:
            until(lambda: bool(_beats(database)))
            kill(first)
        with database.writing() as session:
            session.execute(update(Word).values(state="waiting"))
        with sender(records, service.port, certificate):
            records.wait_for("sent")
        assert len(service.received) == 1


def _beats(database: Database) -> int:
    with database.reading() as session:
        return sender_beats(session)


def test_two_people_are_each_told_once_by_two_senders(database: Database, certificate: Certificate) -> None:
    records = Records(database)
    with database.writing() as session:
        session.execute(update(Word).values(state="dropped"))
        for number in range(2):
            asked = Asked(kind="mail", address=f"p{number}@example.org", language="en", player_id=records.player_id)
            way = ask(session, records.event_id, asked, acting=acting("Mon 09:40"))
            first = session.scalars(select(Word)).first()
            session.add(
                Word(
                    event_id=records.event_id, way_id=way.id, job_id=first.job_id, occasion="ready", cause_id=1,
                    at=first.at,
                )
            )  # fmt: skip
    with mail_service(certificate) as service:
        pair = sender(records, service.port, certificate), sender(records, service.port, certificate)
        with pair[0], pair[1]:
            until(lambda: len(service.received) >= 2)
            time.sleep(3)
        assert sorted(to for to, _ in service.received) == ["p0@example.org", "p1@example.org"]
