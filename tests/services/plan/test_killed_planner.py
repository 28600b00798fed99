"""A planner that is killed in the middle of its work loses nothing, and the next one goes on."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import func, select

from desk.models import Base, Event, Job, Promise, StateChange
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import small_desk

pytestmark = pytest.mark.slow

LONGEST_WAIT_SECONDS = 60
TABLES = (Job, Promise, StateChange)


@contextmanager
def planner(database: Database, seconds: str) -> Iterator[subprocess.Popen]:
    environment = os.environ | {"DESK_PLAN_SECONDS": seconds}
    command = [sys.executable, "-m", "desk", "--database", database.url, "planner"]
    process = subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True)
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def wait_for(answer: Callable[[], bool], process: subprocess.Popen) -> None:
    end = time.monotonic() + LONGEST_WAIT_SECONDS
    while not answer():
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < end, "the planner did not come so far"
        time.sleep(0.1)


def counts(database: Database) -> list[int]:
    with database.reading() as session:
        return [session.scalar(select(func.count()).select_from(table)) for table in TABLES]


def test_a_killed_planner_loses_nothing_and_the_next_goes_on(database: Database) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        make.set_clock(desk.event, "Mon 10:00")
        form = desk.bag(4)
        visit = take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 10:00"))
        form_jobs = [job.id for job in visit.jobs]
    event_id = desk.event.id
    before = counts(database)

    def event() -> Event:
        with database.reading() as session:
            return session.get_one(Event, event_id)

    def lease_taken() -> bool:
        with database.reading() as session:
            return session.execute(select(func.count()).select_from(Base.metadata.tables["planner_lease"])).scalar() > 0

    with planner(database, "3") as first:
        wait_for(lease_taken, first)
        first.send_signal(signal.SIGKILL)
        first.wait()
    assert counts(database) == before
    with database.writing() as session:
        jobs.hold_job(session, event_id, form_jobs[0], "crack", acting=make.acting("Mon 10:01"))
    before = counts(database)
    with planner(database, "0.5") as second:
        wait_for(lambda: event().planned_change_number == event().change_number, second)
    assert counts(database) == before
