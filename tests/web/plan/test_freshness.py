"""The screens say within ten seconds when the plan is not kept up to date, whatever the clocks do."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from desk.models import Event, PlannerBeat
from desk.services.plan.leases import beat, end_beats
from desk.web.plan.freshness import SILENT_SECONDS, PlanWatch
from tests.web.conftest import House


class Clock:
    now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def watched(house: House, clock: Clock) -> House:
    house.app.extensions["plan_watch"] = PlanWatch(now=clock)
    house.write(lambda _session, event: setattr(event, "planned_change_number", event.change_number))
    return house


def beat_once(house: House, at: datetime = datetime(2031, 5, 12, tzinfo=UTC)) -> None:
    with house.database.writing() as session:
        beat(session, "planner", real_now=at)


def told(house: House) -> str:
    return house.as_role("lead").get("/plan/up-to-date", headers={"X-Fragment": "1"}).text.strip()


def test_a_heart_that_stops_is_told_within_ten_seconds(watched: House, clock: Clock) -> None:
    beat_once(watched)
    assert told(watched) == ""
    clock.now += SILENT_SECONDS - 0.1
    assert told(watched) == ""
    clock.now += 0.2
    assert "has not been kept up to date since 12:00" in told(watched)
    assert SILENT_SECONDS + 3.3 < 10


def test_it_is_well_again_with_the_next_beat(watched: House, clock: Clock) -> None:
    beat_once(watched)
    told(watched)
    clock.now += 60
    assert told(watched) != ""
    beat_once(watched)
    assert told(watched) == ""


@pytest.mark.parametrize("hours", [-1, 1])
def test_a_clock_that_jumps_changes_nothing(watched: House, clock: Clock, hours: int) -> None:
    beat_once(watched)
    told(watched)
    clock.now += 5
    beat_once(watched, datetime(2031, 5, 12, 12 + hours, tzinfo=UTC))
    assert told(watched) == ""


def test_a_change_that_nobody_plans_is_told_though_the_heart_beats(watched: House, clock: Clock) -> None:
    watched.write(lambda _session, event: setattr(event, "change_number", event.change_number + 1))
    for _ in range(3):
        beat_once(watched)
        answer = told(watched)
        clock.now += 4
    assert "has not been kept up to date" in answer


def test_changes_that_are_planned_one_after_the_other_are_well(watched: House, clock: Clock) -> None:
    for _ in range(6):
        beat_once(watched)

        def change(_session, event: Event) -> None:
            event.change_number += 1
            event.planned_change_number = event.change_number - 1

        watched.write(change)
        assert told(watched) == ""
        clock.now += 4


@pytest.mark.parametrize("page", ["/now", "/plan", "/drop-off", "/benches"])
def test_every_screen_of_the_desk_says_it(watched: House, clock: Clock, page: str) -> None:
    beat_once(watched)
    client = watched.as_role("lead")
    assert "has not been kept up to date" not in client.get(page).text
    clock.now += 30
    assert "has not been kept up to date" in client.get(page).text


def test_the_beats_of_a_planner_that_ended_go(watched: House) -> None:
    beat_once(watched)
    with watched.database.writing() as session:
        end_beats(session, "planner")
        assert session.scalars(select(PlannerBeat)).all() == []
