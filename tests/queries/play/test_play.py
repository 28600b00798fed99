"""The order of play as a screen shows it."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Event
from desk.models.database import Database
from desk.queries.play.forecasts import forecast_event
from desk.queries.play.moved_racquets import moved_racquets
from desk.queries.play.play import order_of_play
from desk.services.play import needed_by, play, play_stops
from tests.make import acting, make_job, make_match, moment
from tests.queries.play.semifinals import Semifinals
from tests.statements import statements


@pytest.fixture
def day(session: Session) -> Semifinals:
    return Semifinals(session)


def test_days_and_courts_stand_in_order_with_the_empty_ones(session: Session, day: Semifinals) -> None:
    shown = order_of_play(session, day.event, moment("Mon 09:00"))
    assert [(one.name, [(c.name, [m.code for m in c.matches]) for c in one.courts]) for one in shown.days] == [
        ("Mon 2031-05-12", [("Centre", ["S1", "S2"]), ("Garden", [])]),
        ("Tue 2031-05-13", [("Centre", ["F"]), ("Garden", [])]),
    ]


def test_one_day_can_be_shown_alone(session: Session, day: Semifinals) -> None:
    shown = order_of_play(session, day.event, moment("Mon 09:00"), day_id=day.event.days[1].id)
    assert [one.name for one in shown.days] == ["Tue 2031-05-13"]


def test_a_match_to_come_shows_its_times_on_the_wall_clock(session: Session, day: Semifinals) -> None:
    make_job(session, day.players[0])
    needed_by.refresh_needed_by(session, day.event, at=moment("Mon 09:00"))
    lines = order_of_play(session, day.event, moment("Mon 09:00")).days[0].courts[0].matches
    first, second = lines
    assert (first.start_text, first.five, first.fifty, first.needed_by) == ("at 11:00", "11:00", "11:00", "10:30")
    assert (second.start_text, second.five_at, second.open_racquets) == (
        "followed by",
        forecast_event(session, day.event, moment("Mon 09:00")).start_at(day.second.id, 0.05),
        0,
    )
    assert first.open_racquets == 1
    assert "11:30" < second.five < second.fifty < "14:00"


def test_sides_are_named_or_say_whose_winner_plays(session: Session, day: Semifinals) -> None:
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 09:00"), winner_side=2)
    shown = order_of_play(session, day.event, moment("Mon 09:00"))
    (final,) = shown.days[1].courts[0].matches
    assert [side.text for side in final.sides] == ["B", "winner of S2"]
    assert [side.is_winner for side in shown.days[0].courts[0].matches[0].sides] == [False, True]


def test_a_match_in_play_shows_when_it_began_and_no_forecast(session: Session, day: Semifinals) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:03"))
    line = order_of_play(session, day.event, moment("Mon 11:30")).days[0].courts[0].matches[0]
    assert (line.state_words, line.started, line.five, line.needed_by) == ("on court", "11:03", "", "")


def test_a_match_that_ends_after_midnight_says_so(session: Session, day: Semifinals) -> None:
    play.start_match(session, day.event.id, day.second.id, acting=acting("Mon 22:50"))
    play.finish_match(session, day.event.id, day.second.id, acting=acting("Tue 00:31"))
    line = order_of_play(session, day.event, moment("Tue 00:40")).days[0].courts[0].matches[1]
    assert (line.started, line.ended) == ("22:50", "Tue 00:31")


def test_a_stop_of_play_is_told_with_its_end(session: Session, day: Semifinals) -> None:
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:40"))
    shown = order_of_play(session, day.event, moment("Mon 11:50"))
    assert (shown.stopped_since, shown.stop_reason, shown.resumes) == ("11:40", "rain", "not known")
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 11:55"), resumes_at=moment("Mon 13:00"))
    assert order_of_play(session, day.event, moment("Mon 12:00")).resumes == "13:00"
    assert order_of_play(session, day.event, moment("Mon 13:00")).stopped_since == ""


def test_moved_racquets_are_told_newest_first_with_their_reason(session: Session, day: Semifinals) -> None:
    a, _, c, _ = day.players
    jobs = [make_job(session, player) for player in (a, c)]
    needed_by.refresh_needed_by(session, day.event, at=moment("Mon 09:00"))
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:40"))
    play.finish_match(session, day.event.id, day.first.id, acting=acting("Mon 12:05"), winner_side=2)
    session.flush()
    told = moved_racquets(session, day.event, moment("Mon 12:00"))
    assert {(row.code, row.is_urgent) for row in told} == {(jobs[0].code, False), (jobs[1].code, True)}
    assert all(row.why.startswith("Match S1 is finished. ") for row in told)
    earlier = moved_racquets(session, day.event, moment("Mon 11:00"))
    assert [row.at for row in earlier] == sorted((row.at for row in earlier), reverse=True)
    assert len(earlier) == 4


def test_the_statements_are_as_many_for_three_matches_as_for_thirty(database: Database) -> None:
    counts = []
    for extra in (0, 27):
        with database.writing() as session:
            day = Semifinals(session)
            for _ in range(extra):
                make_match(session, day.court, day=day.event.days[0], players=(None, None))
            event_id = day.event.id
        with database.reading() as session, statements(session) as seen:
            order_of_play(session, session.get_one(Event, event_id), moment("Mon 09:00"))
        counts.append(len(seen))
    assert counts[0] == counts[1]
