"""The planner: it plans what changed, rests, and leaves an event to whoever holds it."""

from datetime import UTC, datetime, timedelta

from desk.models import Event
from desk.models.database import Database
from desk.planner import Planner
from desk.services.plan import leases
from tests import make
from tests.services.plan.planned_event import QUICK, filled, places


def test_a_second_planner_does_not_get_the_event(any_database: Database) -> None:
    event_id, _ = filled(any_database, 1)
    now = datetime(2031, 5, 12, tzinfo=UTC)

    def take(holder: str, at: datetime) -> bool:
        with any_database.writing() as session:
            return leases.take_lease(session, event_id, holder, real_now=at, seconds=10)

    assert take("first", now)
    assert not take("second", now + timedelta(seconds=5))
    assert take("first", now + timedelta(seconds=5))
    assert take("second", now + timedelta(seconds=16))


def test_the_planner_plans_what_changed_and_then_rests(any_database: Database) -> None:
    event_id, job_ids = filled(any_database, 2)
    with any_database.writing() as session:
        make.set_clock(session.get_one(Event, event_id), "Mon 10:00")
    planner = Planner(any_database, QUICK)
    assert planner.run_once()
    assert sorted(places(any_database, event_id)) == sorted(job_ids)
    assert not planner.run_once()


def test_another_planner_goes_on_when_the_first_is_gone(database: Database) -> None:
    event_id, _ = filled(database, 1)
    with database.writing() as session:
        make.set_clock(session.get_one(Event, event_id), "Mon 10:00")
    first, second = Planner(database, QUICK), Planner(database, QUICK)
    assert first.run_once()
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        event.change_number += 1
    assert not second.run_once()
    first._give_up()
    assert second.run_once()
