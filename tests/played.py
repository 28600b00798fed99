"""Sample events played through the real importer and services, once for all tests and processes that look at them.

The played records are kept in pytest's cache under a key of everything that they come from: the application,
the solver, the sample events and this module. Each process looks at a copy of its own.
"""

import csv
import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

from sqlalchemy import select

from desk.models import Event
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import read_event, script_of, store_event
from desk.services.plan.planning import Effort
from desk.services.played_day import DayPlayer, Step
from tests.databases import copy_of, migrated

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_events"
EFFORT = Effort(seconds=5.0, steps=3_000)
FOR_A_WEEK = Effort(seconds=5.0, steps=1_500)


@dataclass(frozen=True, kw_only=True)
class Played:
    """Records of an event after its last day, and what was refused on the way."""

    database: Database
    event_id: int
    refused: list[str]


def play(database: Database, event: Path, effort: Effort, days: int) -> list[str]:
    """Play the files of an event in empty records from its first drop-off, for so many days."""
    files = read_event(event)
    start = files.clock.to_utc(0)
    with database.writing() as session:
        event_id = store_event(session, files, acting=Acting(by="files", at=start)).id
    steps: list[Step] = []
    player = DayPlayer(database, event_id, script_of(files), effort=effort)
    player.advance(start - timedelta(days=1), start + timedelta(days=days), steps.append)
    return [sentence for step in steps for sentence in step.refused]


def tight_week(folder: Path) -> Path:
    """Write the sample week into FOLDER without its fourth stringer: three do the work of four."""
    week = folder / "tight-week"
    shutil.copytree(SAMPLES / "harbour-week", week)
    with (week / "shifts.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    with (week / "shifts.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(row for row in rows if row[0] != "S4")
    return week


def played_once(cache: Path, folder: Path, event: Path, effort: Effort = EFFORT, days: int = 30) -> Iterator[Played]:
    """Give a copy in FOLDER of the EVENT played, from CACHE where it is there already."""
    name = event.name
    kept = cache / f"{name}.{_content()}.sqlite"
    refused = kept.with_suffix(".json")
    with _alone(cache / f"{name}.lock"):
        if not refused.exists():
            for old in cache.glob(f"{name}.*.*"):
                old.unlink()
            refused.write_text(json.dumps(_play_into(kept, event, effort, days)), encoding="utf-8")
    with copy_of(kept, folder) as database:
        with database.reading() as session:
            event_id = session.scalars(select(Event.id)).one()
        yield Played(database=database, event_id=event_id, refused=json.loads(refused.read_text(encoding="utf-8")))


def _play_into(path: Path, event: Path, effort: Effort, days: int) -> list[str]:
    database = Database(migrated(f"sqlite:///{path}"))
    try:
        return play(database, event, effort, days)
    finally:
        database.dispose()


def _content() -> str:
    """Return a short digest of everything that a played event comes from."""
    digest = sha256(f"{version('ortools')} {version('numba')}".encode())
    folders = (ROOT / "desk", ROOT / "solver", SAMPLES)
    files = [path for folder in folders for path in folder.rglob("*") if path.suffix in (".py", ".csv", ".toml")]
    for path in sorted([*files, Path(__file__)]):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Let one process in at a time. The lock is SQLite's, so that it goes with a process that is killed."""
    lock = sqlite3.connect(path, timeout=600, isolation_level=None)
    try:
        lock.execute("BEGIN EXCLUSIVE")
        yield
    finally:
        lock.close()
