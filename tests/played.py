"""Sample events played through the real importer and services, once for all tests that look at them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import read_event, script_of, store_event
from desk.services.plan.planning import Effort
from desk.services.played_day import DayPlayer, Step

SAMPLES = Path(__file__).parents[1] / "sample_events"
EFFORT = Effort(seconds=5.0, steps=3_000)


@dataclass(frozen=True, kw_only=True)
class Played:
    """Records of an event after its last day, and what was refused on the way."""

    database: Database
    event_id: int
    steps: tuple[Step, ...]

    @property
    def refused(self) -> list[str]:
        return [sentence for step in self.steps for sentence in step.refused]


def play(database: Database, name: str) -> Played:
    """Play the sample event NAME in empty records from its first drop-off to the night of its last day."""
    files = read_event(SAMPLES / name)
    start = files.clock.to_utc(0)
    with database.writing() as session:
        event_id = store_event(session, files, acting=Acting(by="files", at=start)).id
    steps: list[Step] = []
    player = DayPlayer(database, event_id, script_of(files), effort=EFFORT)
    player.advance(start - timedelta(days=1), start + timedelta(days=30), steps.append)
    return Played(database=database, event_id=event_id, steps=tuple(steps))
