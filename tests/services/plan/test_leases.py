"""Who may plan an event: one planner at a time, whatever the clock is set to."""

from datetime import UTC, datetime, timedelta

import pytest

from desk.models.database import Database
from desk.services.plan.plan_runs import take_lease
from tests import make

NOW = datetime(2031, 5, 12, 12, tzinfo=UTC)
SECONDS = 5.5


def take(database: Database, event_id: int, holder: str, at: datetime) -> bool:
    with database.writing() as session:
        return take_lease(session, event_id, holder, real_now=at, seconds=SECONDS)


@pytest.fixture
def event_id(any_database: Database) -> int:
    with any_database.writing() as session:
        return make.make_event(session).id


def test_a_second_planner_waits_until_the_lease_runs_out(any_database: Database, event_id: int) -> None:
    assert take(any_database, event_id, "one", NOW)
    assert not take(any_database, event_id, "two", NOW + timedelta(seconds=SECONDS - 0.1))
    assert take(any_database, event_id, "two", NOW + timedelta(seconds=SECONDS))


@pytest.mark.parametrize("hours", [-24, -1])
def test_a_clock_set_back_keeps_nobody_from_planning(any_database: Database, event_id: int, hours: int) -> None:
    take(any_database, event_id, "killed", NOW)
    assert take(any_database, event_id, "next", NOW + timedelta(hours=hours))
    assert not take(any_database, event_id, "third", NOW + timedelta(hours=hours, seconds=1))
