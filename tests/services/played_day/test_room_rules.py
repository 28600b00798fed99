"""A tight invented week played, as a stringing room would judge it."""

from pathlib import Path

import pytest
from sqlalchemy import select

from desk.cli.day import STEPS
from desk.models import Event
from desk.models.database import Database
from desk.services.plan.planning import Effort
from tests.played import Played, play
from tests.services.played_day.doubles_week import write
from tests.services.played_day.room_rules import RULES, Room, split_visits


def test_a_tight_week_is_planned_as_a_room_would(tight_week: Played) -> None:
    """Five days, with rain that lasts, a machine that comes back sooner than expected, and a stringer falling sick."""
    with tight_week.database.reading() as session:
        room = Room(session, session.get_one(Event, tight_week.event_id))
        assert {rule.__name__: rule(room) for rule in RULES} == {rule.__name__: [] for rule in RULES}


@pytest.mark.slow
def test_a_tight_week_of_doubles_is_planned_as_a_room_would(database: Database, tmp_path: Path) -> None:
    """Five hands at six benches of two kinds, with rain, a hand falling sick and a machine that dies.

    All of a bag with another costs as much as a part with another and the rest with the player's own stringer, so on
    an evening filled for a full morning one bag of some fifty may be split. The moves of a planning are those of `day`.
    """
    folder = write(tmp_path / "doubles-week", seed=2, days=2)
    assert play(database, folder, Effort(seconds=5.0, steps=STEPS), days=2) == []
    with database.reading() as session:
        room = Room(session, session.scalars(select(Event)).one())
        assert len(room.jobs) > 150 and len(list(room.bags())) >= 50
        found = {rule.__name__: rule(room) for rule in RULES}
        assert len(found.pop(split_visits.__name__)) <= 1
        assert found == {name: [] for name in found}
