"""How soon a planner follows one that was killed, or stopped, in the middle of its work.

`python -m tests.services.plan.measure_takeover --kills 20 --busy 4` runs two planners over SQLite and over PostgreSQL
(`--server`), keeps the cores busy beside them, and kills the one that holds the lease again and again, every fourth
time by stopping it. It prints the median and the slowest time until the other had planned a change that came at that
moment; the status is 1 when it was more than fifteen seconds. A kill takes five to ten seconds, so that the default of
twenty on both databases takes four to six minutes, and longer beside more busy loops; `sqlite --kills 4` takes one.
"""

import argparse
import random
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path

from sqlalchemy import select

from desk.models import Event, PlannerLease
from desk.models.database import Database
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.processes import DeskProcess, asked_of, busy_loops, ended_afterwards, records_of, wait_until
from tests.services.small_desk import small_desk

WITHIN = 15.0


def prepare(database: Database) -> int:
    """Make an event with racquets to plan and return its number."""
    with database.writing() as session:
        desk = small_desk(session)
        make.set_clock(desk.event, "Mon 10:00")
        form = desk.bag(4)
        take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 10:00"))
        return desk.event.id


def change(database: Database, event_id: int) -> None:
    with database.writing() as session:
        session.get_one(Event, event_id).change_number += 1


def is_planned(database: Database, event_id: int) -> bool:
    with database.reading() as session:
        event = session.get_one(Event, event_id)
        return event.planned_change_number == event.change_number


def holder_of(database: Database, event_id: int, planners: list[DeskProcess]) -> DeskProcess | None:
    """Return the planner that holds the lease on the event."""
    with database.reading() as session:
        holder = session.scalar(select(PlannerLease.holder).where(PlannerLease.event_id == event_id)) or ""
    return next((one for one in planners if f"-{one.pid}-" in holder), None)


def take_over_once(
    database: Database, event_id: int, planners: list[DeskProcess], dice: random.Random, *, stopped: bool
) -> float:
    """Kill or stop the planner at work and return the seconds until the other has planned what changed then."""
    for one in planners:
        wait_until(lambda one=one: one.is_ready(database))
    wait_until(lambda: is_planned(database, event_id))
    change(database, event_id)
    wait_until(lambda: holder_of(database, event_id, planners) is not None)
    time.sleep(dice.random() * 2)
    dying = holder_of(database, event_id, planners)
    assert dying is not None
    dying.send(signal.SIGSTOP if stopped else signal.SIGKILL)
    begun = time.monotonic()
    change(database, event_id)
    wait_until(lambda: is_planned(database, event_id), 120)
    seconds = time.monotonic() - begun
    dying.kill()
    dying.start()
    return seconds


def measure(kind: str, asked: argparse.Namespace) -> float:
    """Print a line of one kind of database and return the slowest time."""
    dice = random.Random(asked.seed)
    with tempfile.TemporaryDirectory() as name, records_of(kind, Path(name), asked.server) as database:
        event_id = prepare(database)
        url = database.engine.url.render_as_string(hide_password=False)
        planners = [DeskProcess("planner", url, Path(name) / "planner.log") for _ in range(2)]
        with ended_afterwards(planners), busy_loops(asked.busy):
            found = [
                take_over_once(database, event_id, planners, dice, stopped=turn % 4 == 3) for turn in range(asked.kills)
            ]
    print(f"{kind:<12} {len(found):>6} {statistics.median(found):>9.1f} {max(found):>9.1f}", flush=True)
    return max(found)


def main() -> None:
    """Measure both kinds of database, or those that are named."""
    asked = asked_of(__doc__, kills=20, busy=4)
    print(f"{'':<12} {'kills':>6} {'median s':>9} {'slowest':>9}")
    slowest = max(measure(kind, asked) for kind in asked.kinds)
    sys.exit(int(slowest > WITHIN))


if __name__ == "__main__":
    main()
