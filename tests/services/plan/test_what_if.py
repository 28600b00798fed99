"""What would be if a stringer left or racquets came, answered beside the plan."""

import pytest

from desk.models import Event
from desk.models.database import Database
from desk.services.plan import what_if
from desk.services.plan.planning import plan_event
from tests.services.plan.planned_event import NOW, QUICK, filled, first_bench


@pytest.mark.slow
def test_what_if_everybody_leaves_answers_and_keeps_nothing(database: Database) -> None:
    event_id, _ = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer = first_bench(session, event_id)["stringer_id"]
        before = event.change_number
        supposed = what_if.Supposition(kind="more_racquets", from_at=NOW.at, count=60)
        crowded = what_if.what_if(session, event_id, supposed, at=NOW.at)
        leaves = what_if.Supposition(kind="stringer_leaves", from_at=NOW.at, subject_id=stringer)
        alone = what_if.what_if(session, event_id, leaves, at=NOW.at)
        assert event.change_number == before
    assert crowded.comparison.late_after > crowded.comparison.late_before
    late = [one for one in crowded.comparison.worse if one.after.late_min]
    assert all(one.racquet.player.startswith("Player ") for one in late)
    assert all(one.after.ready_at is not None for one in alone.comparison.worse)
