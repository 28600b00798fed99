"""Who may plan an event: one planner at a time, whatever the clock is set to; a dead one is followed in time."""

from datetime import UTC, datetime, timedelta

import pytest

from desk.models import PlannerLease
from desk.models.database import Database
from desk.planner import BEAT_SECONDS, LEASE_SECONDS, POLL_SECONDS, Planner
from desk.services.plan.leases import take_lease
from desk.services.plan.planning import Effort
from tests import make

NOW = datetime(2031, 5, 12, 12, tzinfo=UTC)
SECONDS = LEASE_SECONDS
TAKEN_OVER_WITHIN = 15.0
"""Asked of two planners on one database, on a busy machine."""
TO_PLAN = 4.0
"""What is left of it for reading the records and for thinking, in seconds."""


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


@pytest.mark.parametrize("behind", [0.0, 1.0, SECONDS - 0.1, SECONDS + 0.1, 3600.0, -1.0, -3600.0])
def test_a_dead_planner_is_followed_within_fifteen_seconds(
    any_database: Database, event_id: int, behind: float
) -> None:
    """No clock runs here: polls are counted, on a second host whose clock is BEHIND the first one's."""
    take(any_database, event_id, "killed", NOW)
    polls = 0
    while not take(any_database, event_id, "next", NOW + timedelta(seconds=polls * POLL_SECONDS - behind)):
        polls += 1
    assert polls * POLL_SECONDS <= 2 * SECONDS <= TAKEN_OVER_WITHIN - TO_PLAN


def test_each_beat_keeps_the_lease_while_a_plan_is_thought_about(any_database: Database, event_id: int) -> None:
    planner = Planner(any_database, Effort(seconds=60.0))
    assert take(any_database, event_id, planner.holder, NOW)
    planner._planning = event_id
    for beats in range(1, 41):
        at = NOW + timedelta(seconds=beats * BEAT_SECONDS)
        assert not take(any_database, event_id, "next", at)
        with any_database.writing() as session:
            planner.beat_once(session, at)
    planner._planning = None
    after = NOW + timedelta(seconds=41 * BEAT_SECONDS)
    with any_database.writing() as session:
        planner.beat_once(session, after)
    assert take(any_database, event_id, "next", after + timedelta(seconds=SECONDS - BEAT_SECONDS))


def test_a_lease_that_was_taken_away_is_not_renewed(any_database: Database, event_id: int) -> None:
    planner = Planner(any_database, Effort())
    take(any_database, event_id, planner.holder, NOW)
    later = NOW + timedelta(seconds=SECONDS)
    assert take(any_database, event_id, "next", later)
    planner._planning = event_id
    with any_database.writing() as session:
        planner.beat_once(session, later + timedelta(seconds=1))
        lease = session.query(PlannerLease).one()
        assert (lease.holder, lease.until_at) == ("next", later + timedelta(seconds=SECONDS))
