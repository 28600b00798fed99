"""By when each racquet is needed, and how that moves with play."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Job, Match, Player
from desk.models.database import Database
from desk.queries.play.forecasts import forecast_event
from desk.services.play import needed_by, play, play_stops
from tests.make import (
    acting,
    make_court,
    make_drop_off,
    make_event,
    make_job,
    make_match,
    make_player,
    make_racquet,
    moment,
)
from tests.statements import statements


class Day:
    """Two matches one after the other, and the next day a match for the winner of the second."""

    def __init__(self, session: Session, **over: Any) -> None:
        self.session = session
        self.event: Event = make_event(session, **over)
        self.a, self.b, self.c, self.d, self.e = (make_player(session, self.event, name=name) for name in "ABCDE")
        self.court = make_court(session, self.event)
        today, tomorrow, _ = self.event.days
        self.first = make_match(session, self.court, day=today, players=(self.a, self.b), start="at 11:00")
        self.second = make_match(session, self.court, day=today, players=(self.c, self.d))
        self.next = make_match(session, self.court, day=tomorrow, players=(self.second, self.e), start="at 13:00")

    def job(self, player: Player, **over: Any) -> Job:
        return make_job(self.session, player, **over)

    def refresh(self, text: str) -> list[needed_by.NeededByChange]:
        return needed_by.refresh_needed_by(self.session, self.event, at=moment(text))

    def start(self, match: Match, text: str) -> list[needed_by.NeededByChange]:
        return play.start_match(self.session, self.event.id, match.id, acting=acting(text))

    def finish(self, match: Match, text: str, winner: int | None = None) -> list[needed_by.NeededByChange]:
        return play.finish_match(self.session, self.event.id, match.id, acting=acting(text), winner_side=winner)


def minutes_between(one: datetime | None, other: datetime | None) -> float:
    assert one is not None and other is not None
    return (other - one).total_seconds() / 60


@pytest.fixture
def day(session: Session) -> Day:
    return Day(session)


def test_the_first_match_of_a_court_needs_the_racquet_its_lead_before(day: Day) -> None:
    job = day.job(day.a)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight, job.match_id) == (moment("Mon 10:30"), 10, day.first.id)
    assert job.needed_by_why == (
        f"Match {day.first.code} on Court 1 starts at 11:00 at the soonest; 30 minutes before that."
    )


def test_a_following_match_needs_it_before_the_five_per_cent_point(day: Day) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    # Published: 77 minutes at the 5 % point of a second match (men, best of 3) with 15 minutes between;
    # the changeover counted with has a median of 23.
    start = minutes_between(moment("Mon 11:00"), job.needed_by_at) + 30
    assert 77 <= start <= 77 + 8


def test_an_earlier_call_that_is_never_accepted_asks_for_more_time(day: Day) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    usual = job.needed_by_at
    day.event.early_call_per_cent, day.event.lead_minutes = 1, 20
    day.refresh("Mon 09:00")
    # facts: 41 minutes at the 1 % point, 77 at 5 %; the tail is allowed 6 minutes more.
    assert abs(minutes_between(job.needed_by_at, usual) - (77 - 41 - 10)) <= 10


def test_practice_has_no_time_and_the_least_weight(day: Day) -> None:
    job = day.job(day.a, needed_by_kind="none")
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight, job.match_id) == (None, 1, None)


def test_a_fixed_time_stays_when_play_moves(session: Session, day: Day) -> None:
    job = day.job(day.c, needed_by_kind="time", needed_by_at=moment("Mon 18:00"), needed_by_why="Asked for.")
    assert day.refresh("Mon 09:00") == []
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"))
    assert (job.needed_by_at, job.needed_by_why, job.weight) == (moment("Mon 18:00"), "Asked for.", 10)


def test_a_fixed_time_of_a_player_without_a_match_is_practice(session: Session, day: Day) -> None:
    job = day.job(make_player(session, day.event), needed_by_kind="time", needed_by_at=moment("Mon 18:00"))
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight) == (moment("Mon 18:00"), 1)


def test_a_player_without_a_match_gets_the_reason(session: Session, day: Day) -> None:
    job = day.job(make_player(session, day.event))
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight) == (None, 1)
    assert job.needed_by_why == "No match of the player stands in the order of play."


def test_the_changeover_of_the_event_moves_what_follows(day: Day) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    day.event.between_least_minutes, day.event.between_median_minutes = 35, 43
    day.refresh("Mon 09:00")
    assert before is not None and job.needed_by_at is not None
    assert timedelta(minutes=17) <= job.needed_by_at - before <= timedelta(minutes=23)


def test_an_event_of_short_matches_needs_racquets_sooner(day: Day) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    day.event.match_length_per_cent = 80
    day.refresh("Mon 09:00")
    assert before is not None and job.needed_by_at is not None
    # The 5 % point of a start after one match lies some 80 minutes after its own (published table).
    assert timedelta(minutes=8) <= before - job.needed_by_at <= timedelta(minutes=18)


def test_a_walkover_before_makes_the_next_racquets_urgent(session: Session, day: Day) -> None:
    day.event.rest_minutes = 0
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    (change,) = play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"))
    assert (change.job, change.before, change.after) == (job, before, moment("Mon 10:30"))
    assert change.is_urgent


def test_a_long_match_relaxes_the_racquets_after_it(day: Day) -> None:
    job = day.job(day.c)
    day.start(day.first, "Mon 11:00")
    before = job.needed_by_at
    (change,) = day.refresh("Mon 13:00")
    assert not change.is_urgent
    # Still on at 13:00: the court needs 15 minutes at the least, and the racquet its lead of 30.
    assert moment("Mon 12:45") <= (job.needed_by_at or before) <= moment("Mon 13:30")


def test_a_winner_plays_on_and_a_loser_does_not(day: Day) -> None:
    winner, loser = day.job(day.c), day.job(day.d)
    day.start(day.first, "Mon 11:00")
    day.finish(day.first, "Mon 12:30", 1)
    day.start(day.second, "Mon 12:50")
    assert [winner.weight, loser.weight] == [20, 20]
    day.finish(day.second, "Mon 14:40", 1)
    assert (winner.needed_by_at, winner.match_id, winner.weight) == (moment("Tue 12:30"), day.next.id, 10)
    assert (loser.needed_by_at, loser.match_id, loser.weight) == (None, None, 1)
    assert loser.needed_by_why == (
        f"Match {day.second.code} is lost and no further match of the player stands in the order of play."
    )


def test_both_keep_the_next_match_while_the_winner_is_unknown(day: Day) -> None:
    jobs = [day.job(day.c), day.job(day.d)]
    day.start(day.second, "Mon 11:00")
    day.finish(day.second, "Mon 12:30")
    assert [job.needed_by_at for job in jobs] == [moment("Tue 12:30")] * 2
    assert jobs[0].needed_by_why.startswith(f"With a win in {day.second.code}: Match {day.next.code}")


def test_taking_back_the_end_brings_the_match_back(session: Session, day: Day) -> None:
    job = day.job(day.d)
    day.start(day.second, "Mon 11:00")
    day.finish(day.second, "Mon 12:30", 1)
    play.undo_last_change(session, day.event.id, day.second.id, acting=acting("Mon 12:31"))
    assert (job.match_id, job.weight) == (day.second.id, 20)


def test_a_racquet_dropped_off_during_the_match_is_for_the_next_one(day: Day) -> None:
    day.start(day.second, "Mon 11:00")
    job = day.job(day.c, dropped_at=moment("Mon 11:30"))
    day.refresh("Mon 11:30")
    assert (job.match_id, job.weight) == (day.next.id, 10)


def test_an_on_court_racquet_is_needed_at_once(day: Day) -> None:
    day.start(day.first, "Mon 11:00")
    job = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True, needed_by_kind="time")
    day.refresh("Mon 11:31")
    assert (job.needed_by_at, job.weight, job.match_id) == (moment("Mon 11:45"), 20, day.first.id)
    day.refresh("Mon 11:50")
    assert job.needed_by_at == moment("Mon 11:45")


def test_an_on_court_racquet_is_urgent_though_nobody_marked_the_start(day: Day) -> None:
    job = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True)
    day.refresh("Mon 11:31")
    assert (job.needed_by_at, job.weight) == (moment("Mon 11:45"), 20)


def test_an_on_court_racquet_goes_on_to_the_next_match_when_its_match_ends(day: Day) -> None:
    day.start(day.second, "Mon 11:00")
    jobs = [day.job(p, dropped_at=moment("Mon 11:30"), on_court=True) for p in (day.c, day.d)]
    day.refresh("Mon 11:31")
    changes = day.finish(day.second, "Mon 11:40", 1)
    assert [(job.needed_by_at, job.weight) for job in jobs] == [(moment("Tue 12:30"), 10), (None, 1)]
    assert [change.is_urgent for change in changes] == [False, False]


def test_rain_relaxes_an_on_court_racquet_and_those_that_follow(session: Session, day: Day) -> None:
    day.start(day.first, "Mon 11:00")
    on_court = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True)
    follows = day.job(day.c)
    day.refresh("Mon 11:31")
    before = follows.needed_by_at
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:35"))
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 11:40"), resumes_at=moment("Mon 14:00"))
    assert (on_court.needed_by_at, on_court.weight) == (moment("Mon 14:00"), 20)
    moved = minutes_between(before, follows.needed_by_at)
    # Play loses the 145 minutes of the stop; what was played before it counts.
    assert abs(moved - 145) <= 5


def test_rain_without_an_end_counts_with_play_after_a_short_notice(session: Session, day: Day) -> None:
    job = day.job(day.a)
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 10:50"))
    day.refresh("Mon 12:00")
    # 15 minutes' notice at the least, less the lead of 30.
    assert job.needed_by_at == moment("Mon 11:45")


def test_the_minutes_of_an_interruption_are_no_play(session: Session, day: Day) -> None:
    job = day.job(day.c)
    day.start(day.first, "Mon 11:00")
    day.refresh("Mon 11:40")
    without = job.needed_by_at
    play.suspend(session, day.event.id, day.first.id, acting=acting("Mon 11:40"))
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 13:40"))
    assert abs(minutes_between(without, job.needed_by_at) - 120) <= 1


def test_a_roofed_court_plays_on_during_the_rain(session: Session, day: Day) -> None:
    day.start(day.first, "Mon 11:00")
    job = day.job(day.c)
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:35"))
    stopped = job.needed_by_at
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 11:45"))
    day.refresh("Mon 12:30")
    moved = job.needed_by_at
    day.refresh("Mon 12:31")
    assert (stopped, moved) != (None, None)
    assert day.first.state == "on_court"
    assert forecast_event(session, day.event, moment("Mon 12:30")).starts[day.first.id].end.first <= 752


def test_a_racquet_for_tomorrow_morning_skips_todays_match(day: Day) -> None:
    today, tomorrow = day.job(day.c), day.job(day.c, not_before_at=moment("Tue 08:00"))
    day.refresh("Mon 09:00")
    assert [today.match_id, tomorrow.match_id] == [day.second.id, day.next.id]
    assert tomorrow.needed_by_at == moment("Tue 12:30")


def test_a_player_with_two_matches_needs_it_for_the_sooner(session: Session, day: Day) -> None:
    doubles = make_match(
        session, make_court(session, day.event), day=day.event.days[0], players=(day.c, day.e), start="at 18:00"
    )
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    assert job.match_id == day.second.id
    day.start(day.second, "Mon 12:00")
    day.finish(day.second, "Mon 14:00", 2)
    assert (job.match_id, job.needed_by_at) == (doubles.id, moment("Mon 17:30"))


def test_a_court_without_matches_and_an_empty_event_are_no_trouble(session: Session, event: Event) -> None:
    make_court(session, event)
    job = make_job(session, make_player(session, event))
    needed_by.refresh_needed_by(session, event, at=moment("Mon 09:00"))
    assert (job.needed_by_at, job.weight) == (None, 1)


def test_a_day_without_any_time_starts_no_sooner_than_the_desk_opens(session: Session, event: Event) -> None:
    player = make_player(session, event)
    make_match(session, make_court(session, event), day=event.days[0], players=(player, None))
    job = make_job(session, player)
    needed_by.refresh_needed_by(session, event, at=moment("Mon 06:00"))
    assert job.needed_by_at == moment("Mon 07:30")


def test_two_matches_at_one_place_of_a_court_are_refused(day: Day) -> None:
    day.second.position = 1
    with pytest.raises(BadInput, match="both stand at position 1"):
        day.refresh("Mon 09:00")


def test_a_night_match_ends_after_midnight_and_the_next_follows_it(session: Session, event: Event) -> None:
    player = make_player(session, event)
    court = make_court(session, event)
    late = make_match(session, court, day=event.days[0], start="at 22:30")
    follows = make_match(session, court, day=event.days[0], players=(player, None))
    job = make_job(session, player)
    play.start_match(session, event.id, late.id, acting=acting("Mon 22:35"))
    play.finish_match(session, event.id, late.id, acting=acting("Tue 00:20"))
    assert job.match_id == follows.id
    assert moment("Tue 00:00") <= (job.needed_by_at or moment("Mon 00:00")) <= moment("Tue 00:20")


@pytest.mark.parametrize(
    ("first_day", "hours"),
    [(date(2031, 3, 29), 22), (date(2031, 10, 25), 24), (date(2031, 5, 10), 23)],
)
def test_the_night_of_a_clock_change_is_an_hour_shorter_or_longer(
    session: Session, first_day: date, hours: int
) -> None:
    # 12:00 to 11:00 the next day on the wall: 23 hours, one less in March, one more in October (EU rule).
    event = make_event(session, first_day=first_day, time_zone="Europe/Vienna")
    player = make_player(session, event)
    make_match(session, make_court(session, event), day=event.days[1], players=(player, None), start="at 11:30")
    noon = moment(f"{first_day} 12:00", first_day=first_day)
    job = make_job(session, player, dropped_at=noon)
    needed_by.refresh_needed_by(session, event, at=noon)
    assert job.needed_by_at == noon + timedelta(hours=hours)


def test_what_a_new_racquet_would_be_needed_by_is_what_it_gets(session: Session, day: Day) -> None:
    at = moment("Mon 09:00")
    foreseen = needed_by.needed_by_for(session, day.event, day.c.id, kind="match", fixed_at=None, at=at)
    job = day.job(day.c, dropped_at=at)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.needed_by_why) == (foreseen.at, foreseen.why)
    assert (job.match_id, job.weight) == (foreseen.match_id, foreseen.weight)


def test_a_new_on_court_racquet_is_needed_at_once(session: Session, day: Day) -> None:
    day.start(day.first, "Mon 11:00")
    found = needed_by.needed_by_for(session, day.event, day.a.id, kind="on_court", at=moment("Mon 11:30"))
    assert (found.at, found.weight, found.match_id) == (moment("Mon 11:45"), 20, day.first.id)


def test_only_open_jobs_are_refreshed(day: Day) -> None:
    done, held = day.job(day.a, state="strung"), day.job(day.a, state="held")
    day.refresh("Mon 09:00")
    assert [done.needed_by_at, held.needed_by_at] == [None, moment("Mon 10:30")]


def test_a_second_look_at_the_same_moment_changes_nothing(day: Day) -> None:
    day.job(day.c)
    day.refresh("Mon 09:00")
    revision = day.event.revision
    assert day.refresh("Mon 09:00") == []
    assert day.event.revision == revision


def test_what_is_refreshed_stands_in_the_records(any_database: Database) -> None:
    with any_database.writing() as session:
        day = Day(session)
        jobs = [day.job(day.a), day.job(day.b), day.job(day.e)]
        day.refresh("Mon 09:00")
        ids = [job.id for job in jobs]
    with any_database.reading() as session:
        times = [session.get_one(Job, job_id).needed_by_at for job_id in ids]
    assert times == [moment("Mon 10:30"), moment("Mon 10:30"), moment("Tue 12:30")]


def statements_to_refresh(database: Database, jobs: int) -> int:
    with database.writing() as session:
        day = Day(session)
        visit, racquet = make_drop_off(session, day.a), make_racquet(session, day.a)
        for _ in range(jobs):
            day.job(day.a, drop_off=visit, racquet=racquet)
    with database.writing() as session, statements(session) as sent:
        needed_by.refresh_needed_by(session, session.get_one(Event, day.event.id), at=moment("Mon 09:00"))
    return len(sent)


def test_the_statements_are_as_many_for_one_job_as_for_forty(database: Database) -> None:
    assert statements_to_refresh(database, 1) == statements_to_refresh(database, 40)


def test_the_first_racquet_of_a_bag_counts_most_and_what_is_strung_counts_before_it(day: Day) -> None:
    bag = [day.job(day.a) for _ in range(4)]
    day.refresh("Mon 09:00")
    assert [job.weight for job in bag] == [10, 5, 3, 3]
    bag[2].state = "on_machine"
    day.refresh("Mon 09:01")
    assert [job.weight for job in bag] == [5, 3, 10, 3]
    bag[2].state = "strung"
    assert day.refresh("Mon 09:02") == []
    assert [job.weight for job in bag] == [5, 3, 10, 3]


def test_late_begins_when_the_player_may_be_called_less_the_walk(day: Day) -> None:
    job = day.job(day.a)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.latest_at) == (moment("Mon 10:30"), moment("Mon 10:50"))
