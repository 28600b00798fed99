"""Rain in the event files: what is expected of its end is told to the desk, and what comes is played."""

from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from desk.models import Event, Match, MatchChange, PlayStop
from desk.models.database import Database
from desk.queries.play.forecasts import forecast_event
from desk.services.acting import Acting
from desk.services.event_files import read_event, script_of, store_event
from desk.services.played_day import DayPlayer
from desk.trade.event.event_time import EventClock
from tests.services.event_files.files import write_event

HEADER = "day,time,what,which,until\n"
RAIN = "2031-05-12,11:30,rain,,12:40\n"


class RainyDay:
    """A match at 11:00 that goes as the order of play says, and the incidents given."""

    def __init__(self, database: Database, folder: Path, incidents: str) -> None:
        files = read_event(write_event(folder, incidents=HEADER + incidents))
        self.database, self.clock = database, files.clock
        with database.writing() as session:
            self.event_id = store_event(session, files, acting=Acting(by="files", at=self.at("00:00"))).id
        self.player = DayPlayer(database, self.event_id, script_of(files), effort=None)
        self.refused: list[str] = []

    def at(self, text: str) -> datetime:
        clock: EventClock = self.clock
        return clock.parse(text, clock.first_day)

    def play(self, since: str, until: str) -> None:
        self.player.advance(self.at(since), self.at(until), lambda step: self.refused.extend(step.refused))

    def states(self) -> list[tuple[str, datetime]]:
        with self.database.reading() as session:
            rows = session.scalars(select(MatchChange).join(Match, Match.id == MatchChange.match_id))
            return [(row.to_state, row.at) for row in rows.all()]

    def resumes(self) -> list[datetime | None]:
        with self.database.reading() as session:
            return list(session.scalars(select(PlayStop.resumes_at)))


def test_the_desk_is_told_until_when_the_rain_is_expected(database: Database, tmp_path: Path) -> None:
    day = RainyDay(database, tmp_path, RAIN)
    day.play("08:00", "11:45")
    assert day.resumes() == [day.at("12:40")]
    with database.reading() as session:
        forecast = forecast_event(session, session.get_one(Event, day.event_id), day.at("11:45"))
        match = session.scalars(select(Match).where(Match.code == "A")).one()
        assert forecast.call_at(match.id) == day.at("12:40")


def test_a_match_goes_on_when_the_rain_was_expected_to_end(database: Database, tmp_path: Path) -> None:
    day = RainyDay(database, tmp_path, RAIN)
    day.play("08:00", "18:00")
    on, suspended, again, finished = day.states()
    assert (on, suspended, again) == (
        ("on_court", day.at("11:00")), ("suspended", day.at("11:30")), ("on_court", day.at("12:40")),
    )  # fmt: skip
    # Half of men's best of 3 last 101 minutes and less (published median 102 of those played to their end).
    assert finished[0] == "finished"
    assert (finished[1] - day.at("11:00")).total_seconds() / 60 - 70 == pytest.approx(101, abs=1)
    assert day.refused == []


def test_rain_that_lasts_longer_than_expected_holds_play(database: Database, tmp_path: Path) -> None:
    day = RainyDay(database, tmp_path, RAIN + "2031-05-12,13:15,play_resumes,,\n")
    day.play("08:00", "13:00")
    assert [state for state, _ in day.states()] == ["on_court", "suspended"]
    day.play("13:00", "18:00")
    assert day.states()[2] == ("on_court", day.at("13:15"))
    assert day.resumes() == [day.at("13:15")]
    assert day.refused == []


def test_rain_before_play_holds_the_first_matches(database: Database, tmp_path: Path) -> None:
    early = "2031-05-12,10:30,rain,,11:20\n2031-05-12,11:50,play_resumes,,\n"
    day = RainyDay(database, tmp_path, early)
    day.play("08:00", "18:00")
    assert day.states()[0] == ("on_court", day.at("11:50"))
    assert day.refused == []


def test_two_showers_are_two_stops(database: Database, tmp_path: Path) -> None:
    day = RainyDay(database, tmp_path, RAIN + "2031-05-12,12:50,rain,,13:20\n")
    day.play("08:00", "18:00")
    assert day.resumes() == [day.at("12:40"), day.at("13:20")]
    assert [state for state, _ in day.states()] == ["on_court", *["suspended", "on_court"] * 2, "finished"]
