"""The store at drop-off and at the bench, and after a machine that died in the middle of a write."""

import signal
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Player, ReelEntry, StringType
from desk.models.database import Database
from desk.queries.money.charges import account
from desk.queries.string.lengths import metres_by_job
from desk.queries.string.store import reel_rows
from desk.services.bench import jobs, undo
from desk.services.bench.redoing import redo_job
from desk.services.counter import drop_offs
from desk.services.machines import calibrating
from desk.trade.drop_off_forms import CardForm, DropOffForm, RacquetForm
from desk.trade.racquet.bed import HalfCard, StringBed
from tests import make
from tests.make import acting

ROOT = Path(__file__).parents[3]
CHECKS = tuple(jobs.BENCH_CHECKS)


def set_up(session: Session, *, metres: float) -> tuple[Event, Player]:
    """An event with a stringer, a machine calibrated today, a reel and a price of 20.00."""
    event = make.make_event(session)
    make.make_reel(session, make.make_string(session, event), metres=metres, code="R1")
    make.make_price(session, event, "labour", 2000)
    machine = make.make_machine(session, event)
    make.make_stringer(session, event, home_machine_id=machine.id)
    readings = [calibrating.Reading(reference=Decimal(one), reading=Decimal(one), unit="kg") for one in ("20", "25")]
    calibrating.calibrate(session, event.id, machine.id, readings, acting=acting("Mon 07:40"))
    return event, make.make_player(session, event)


def drop_off(session: Session, event: Event, player: Player, count: int) -> list[Job]:
    racquets = [make.make_racquet(session, player) for _ in range(count)]
    string_id = session.scalars(select(StringType.id).where(StringType.event_id == event.id)).one()
    half = HalfCard(string_id, Decimal("52"), "lb")
    card = CardForm(bed=StringBed(half, half))
    forms = [RacquetForm(card=card, racquet_id=racquet.id, needed_by_kind="none") for racquet in racquets]
    form = DropOffForm(player_id=player.id, racquets=forms, request_key=f"visit of {player.code}")
    return drop_offs.take_drop_off(session, event.id, form, acting=acting("Mon 09:00")).jobs


def strung(session: Session, event: Event, job: Job, at: str) -> None:
    places = {"stringer_id": 1, "machine_id": 1}
    jobs.start_job(session, event.id, job.id, acting=acting(at), **places)
    jobs.finish_job(session, event.id, job.id, jobs.Finish(checks=CHECKS, used=make.cut(6, 5)), acting=acting(at))


def test_the_racquet_for_which_no_string_is_left_is_held_and_gets_no_promise(any_session: Session) -> None:
    event, player = set_up(any_session, metres=24)
    taken = drop_off(any_session, event, player, 3)
    assert [job.state for job in taken] == ["waiting", "waiting", "held"]
    assert [len(job.promises) for job in taken] == [1, 1, 0]
    assert taken[2].held_reason.startswith("String is missing: the mains")


def test_what_one_player_was_promised_is_missing_for_the_next(session: Session) -> None:
    event, player = set_up(session, metres=24)
    drop_off(session, event, player, 2)
    (job,) = drop_off(session, event, make.make_player(session, event), 1)
    assert job.state == "held"


def test_a_finish_taken_back_gives_string_and_money_back(any_session: Session) -> None:
    event, player = set_up(any_session, metres=24)
    (job,) = drop_off(any_session, event, player, 1)
    strung(any_session, event, job, "Mon 09:30")
    assert (reel_rows(any_session, event)[0].left_m, account(any_session, event, player).open_minor) == (13, 2000)
    undo.undo_last(any_session, event.id, job.id, acting=acting("Mon 09:31"))
    assert (reel_rows(any_session, event)[0].left_m, account(any_session, event, player).open_minor) == (24, 0)


def test_a_redo_takes_string_and_costs_nothing(session: Session) -> None:
    event, player = set_up(session, metres=24)
    (first,) = drop_off(session, event, player, 1)
    strung(session, event, first, "Mon 09:30")
    again = redo_job(session, event.id, first.id, "a cross was missed", acting=acting("Mon 09:40"))
    strung(session, event, again, "Mon 10:00")
    assert {job_id: one.total_m for job_id, one in metres_by_job(session, event).items()} == {
        first.id: 11,
        again.id: 11,
    }
    assert account(session, event, player).open_minor == 2000


DIES = """
import os, signal, sys
from desk.models import Event, Job
from desk.models.database import Database
from desk.services.string import string_use
from desk.services.bench.redoing import redo_job
from tests.make import acting

with Database(sys.argv[1]).writing() as session:
    job = session.get_one(Job, int(sys.argv[2]))
    string_use.use_for_job(session, session.get_one(Event, job.event_id), job, acting=acting())
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_desk_that_dies_in_the_middle_of_a_write_loses_no_metre(any_database: Database) -> None:
    with any_database.writing() as session:
        event, player = set_up(session, metres=24)
        job = drop_off(session, event, player, 1)[0]
    command = [sys.executable, "-c", DIES, any_database.url, str(job.id)]
    ended = subprocess.run(command, check=False, capture_output=True, text=True, cwd=ROOT)
    assert ended.returncode == -signal.SIGKILL, ended.stderr
    with any_database.writing() as session:
        assert [one.metres for one in session.scalars(select(ReelEntry))] == [24]
        strung(session, session.get_one(Event, event.id), session.get_one(Job, job.id), "Mon 09:30")
        assert reel_rows(session, session.get_one(Event, event.id))[0].left_m == 13
