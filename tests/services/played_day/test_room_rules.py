"""A tight invented week played, as a stringing room would judge it."""

from desk.models import Event
from tests.played import Played
from tests.services.played_day.room_rules import RULES, Room


def test_a_tight_week_is_planned_as_a_room_would(tight_week: Played) -> None:
    """Five days, with rain that lasts, a machine that comes back sooner than expected, and a stringer falling sick."""
    with tight_week.database.reading() as session:
        room = Room(session, session.get_one(Event, tight_week.event_id))
        assert {rule.__name__: rule(room) for rule in RULES} == {rule.__name__: [] for rule in RULES}
