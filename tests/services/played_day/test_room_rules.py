"""A tight invented week played, as a stringing room would judge it."""

import csv
import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from desk.models import Event
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import read_event, script_of, store_event
from desk.services.plan.planning import Effort
from desk.services.played_day import DayPlayer
from tests.played import SAMPLES
from tests.services.played_day.room_rules import RULES, Room


def tight_week(folder: Path) -> Path:
    """Write the sample week into FOLDER without its fourth stringer: three do the work of four."""
    week = folder / "tight-week"
    shutil.copytree(SAMPLES / "harbour-week", week)
    with (week / "shifts.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    with (week / "shifts.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(row for row in rows if row[0] != "S4")
    return week


def play_week(database: Database, folder: Path, effort: Effort, days: int) -> int:
    files = read_event(folder)
    start = files.clock.to_utc(0)
    with database.writing() as session:
        event_id = store_event(session, files, acting=Acting(by="files", at=start)).id
    player = DayPlayer(database, event_id, script_of(files), effort=effort)
    player.advance(start - timedelta(days=1), start + timedelta(days=days))
    return event_id


@pytest.mark.slow
def test_a_tight_week_is_planned_as_a_room_would(database: Database, tmp_path: Path) -> None:
    """Five days, with rain that lasts, a machine that comes back sooner than expected, and a stringer falling sick."""
    event_id = play_week(database, tight_week(tmp_path), Effort(seconds=5.0, steps=1_500), days=5)
    with database.reading() as session:
        room = Room(session, session.get_one(Event, event_id))
        assert {rule.__name__: rule(room) for rule in RULES} == {rule.__name__: [] for rule in RULES}
