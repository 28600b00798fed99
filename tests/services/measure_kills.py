"""Web and planner processes killed at random moments while hands work: nothing told is lost, nothing counts twice.

`python -m tests.services.measure_kills --kills 100` runs two web processes and two planners over SQLite and over
PostgreSQL (`--server`), lets hands start and finish racquets, take them from the court and book string, each sending
its form again until it is told that it is stored, and kills (every fifth time: stops, then kills) one of the four at a
time. Then it counts: each form that was told stands in the records once, each racquet went from state to state without
a gap, a copy is whole, and a change is planned. The status is 1 when one of these does not hold.
"""

import argparse
import random
import signal
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from desk.models import Event
from desk.models.database import Database
from desk.services.records.backups import back_up
from tests.services.killed_hands import Desk, Hand, Told, faults_of, prepare
from tests.services.processes import DeskProcess, asked_of, busy_loops, ended_afterwards, records_of, wait_until

STOPPED_FOR = 3.0
STORED_BETWEEN = 5


@dataclass
class Killer:
    """Kills one process after the other, and starts it again; between two kills something is stored."""

    database: Database
    processes: list[DeskProcess]
    told: Told
    dice: random.Random
    kills: dict[str, int] = field(default_factory=lambda: {"serve": 0, "planner": 0})

    def kill_once(self, number: int) -> None:
        """Choose one that works, kill it, and begin it anew; nothing waits for it."""
        before = self.told.count
        wait_until(lambda: self.told.count >= before + STORED_BETWEEN)
        time.sleep(self.dice.random())
        wait_until(lambda: bool(self._ready()))
        chosen = self.dice.choice(self._ready() or self.processes)
        if number % 5 == 4:
            chosen.send(signal.SIGSTOP)
            time.sleep(STOPPED_FOR)
        chosen.kill()
        self.kills[chosen.kind] += 1
        chosen.start()

    def _ready(self) -> list[DeskProcess]:
        return [one for one in self.processes if one.is_ready(self.database)]


def go_on(database: Database, event_id: int) -> float:
    """Return the seconds until a change that comes now is planned."""
    with database.writing() as session:
        session.get_one(Event, event_id).change_number += 1

    def is_planned() -> bool:
        with database.reading() as session:
            event = session.get_one(Event, event_id)
            return event.planned_change_number == event.change_number

    return wait_until(is_planned, 120)


def run(database: Database, desk: Desk, folder: Path, asked: argparse.Namespace) -> tuple[Told, Killer, float]:
    """Let hands work while processes are killed; return what was told, what was killed, and how soon it was planned."""
    url = database.engine.url.render_as_string(hide_password=False)
    kinds = ["serve", "serve", "planner", "planner"]
    processes = [DeskProcess(kind, url, folder / f"{number}.log") for number, kind in enumerate(kinds)]
    told, ending = Told(), threading.Event()
    killer = Killer(database, processes, told, random.Random(asked.seed))
    with ended_afterwards(processes):
        for one in processes:
            wait_until(lambda one=one: one.is_ready(database))
        ports = [one.port for one in processes if one.kind == "serve"]
        hands = [Hand(desk, number, ports, told, ending) for number in range(desk.hands)]
        for hand in hands:
            hand.start()
        with busy_loops(asked.busy):
            for number in range(asked.kills):
                killer.kill_once(number)
        ending.set()
        for hand in hands:
            hand.join(180)
        return told, killer, go_on(database, desk.event_id)


def measure(kind: str, asked: argparse.Namespace) -> list[str]:
    """Print a line of one kind of database and return what does not hold."""
    with tempfile.TemporaryDirectory() as name, records_of(kind, Path(name), asked.server) as database:
        folder = Path(name)
        desk = prepare(database, racquets=max(60, 3 * asked.kills))
        told, killer, planned = run(database, desk, folder, asked)
        faults = [*told.refused, *faults_of(database, desk, told)]
        back_up(database, folder / f"copy-{datetime.now(UTC):%H%M%S}")
    kills = killer.kills
    print(
        f"{kind:<12} {kills['serve']:>6} {kills['planner']:>9} {told.count:>6} {told.again:>6} "
        f"{len(faults):>7} {planned:>10.1f}",
        flush=True,
    )
    return [f"{kind}: {fault}" for fault in faults]


def main() -> None:
    """Measure both kinds of database, or those that are named."""
    asked = asked_of(__doc__, kills=100, busy=0)
    print(f"{'':<12} {'killed':>6} {'planners':>9} {'told':>6} {'again':>6} {'faults':>7} {'planned, s':>10}")
    faults = [fault for kind in asked.kinds for fault in measure(kind, asked)]
    for fault in faults:
        print(fault)
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
