"""By when each racquet is needed."""

from datetime import timedelta

from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.models.database import Database
from desk.services.play import needed_by, play
from tests.make import acting, make_court, make_drop_off, make_match, make_player, make_racquet, moment
from tests.services.play.match_day import MatchDay, minutes_between
from tests.statements import statements


def test_the_first_match_of_a_court_needs_the_racquet_its_lead_before(day: MatchDay) -> None:
    job = day.job(day.a)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight, job.match_id) == (moment("Mon 10:30"), 10, day.first.id)
    assert job.needed_by_why == (
        f"Match {day.first.code} on Court 1 starts at 11:00 at the soonest; 30 minutes before that."
    )


def test_a_following_match_needs_it_before_the_five_per_cent_point(day: MatchDay) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    # Published: 77 minutes at the 5 % point of a second match (men, best of 3) with 15 minutes between;
    # the changeover counted with has a median of 23.
    start = minutes_between(moment("Mon 11:00"), job.needed_by_at) + 30
    assert 77 <= start <= 77 + 8


def test_an_earlier_call_that_is_never_accepted_asks_for_more_time(day: MatchDay) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    usual = job.needed_by_at
    day.event.early_call_per_cent, day.event.lead_minutes = 1, 20
    day.refresh("Mon 09:00")
    # facts: 41 minutes at the 1 % point, 77 at 5 %; the tail is allowed 6 minutes more.
    assert abs(minutes_between(job.needed_by_at, usual) - (77 - 41 - 10)) <= 10


def test_practice_has_no_time_and_the_least_weight(day: MatchDay) -> None:
    job = day.job(day.a, needed_by_kind="none")
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight, job.match_id) == (None, 1, None)


def test_a_fixed_time_stays_when_play_moves(session: Session, day: MatchDay) -> None:
    job = day.job(day.c, needed_by_kind="time", needed_by_at=moment("Mon 18:00"), needed_by_why="Asked for.")
    assert day.refresh("Mon 09:00") == []
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"))
    assert (job.needed_by_at, job.needed_by_why, job.weight) == (moment("Mon 18:00"), "Asked for.", 10)


def test_a_fixed_time_of_a_player_without_a_match_is_practice(session: Session, day: MatchDay) -> None:
    job = day.job(make_player(session, day.event), needed_by_kind="time", needed_by_at=moment("Mon 18:00"))
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight) == (moment("Mon 18:00"), 1)


def test_a_player_without_a_match_gets_the_reason(session: Session, day: MatchDay) -> None:
    job = day.job(make_player(session, day.event))
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.weight) == (None, 1)
    assert job.needed_by_why == "No match of the player stands in the order of play."


def test_the_changeover_of_the_event_moves_what_follows(day: MatchDay) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    day.event.between_least_minutes, day.event.between_median_minutes = 35, 43
    day.refresh("Mon 09:00")
    assert before is not None and job.needed_by_at is not None
    assert timedelta(minutes=17) <= job.needed_by_at - before <= timedelta(minutes=23)


def test_an_event_of_short_matches_needs_racquets_sooner(day: MatchDay) -> None:
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    day.event.match_length_per_cent = 80
    day.refresh("Mon 09:00")
    assert before is not None and job.needed_by_at is not None
    # The 5 % point of a start after one match lies some 80 minutes after its own (published table).
    assert timedelta(minutes=8) <= before - job.needed_by_at <= timedelta(minutes=18)


def test_a_racquet_for_tomorrow_morning_skips_todays_match(day: MatchDay) -> None:
    today, tomorrow = day.job(day.c), day.job(day.c, not_before_at=moment("Tue 08:00"))
    day.refresh("Mon 09:00")
    assert [today.match_id, tomorrow.match_id] == [day.second.id, day.next.id]
    assert tomorrow.needed_by_at == moment("Tue 12:30")


def test_a_player_with_two_matches_needs_it_for_the_sooner(session: Session, day: MatchDay) -> None:
    doubles = make_match(
        session, make_court(session, day.event), day=day.event.days[0], players=(day.c, day.e), start="at 18:00"
    )
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    assert job.match_id == day.second.id
    day.start(day.second, "Mon 12:00")
    day.finish(day.second, "Mon 14:00", 2)
    assert (job.match_id, job.needed_by_at) == (doubles.id, moment("Mon 17:30"))


def test_what_a_new_racquet_would_be_needed_by_is_what_it_gets(session: Session, day: MatchDay) -> None:
    at = moment("Mon 09:00")
    foreseen = needed_by.needed_by_for(session, day.event, day.c.id, kind="match", fixed_at=None, at=at)
    job = day.job(day.c, dropped_at=at)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.needed_by_why) == (foreseen.at, foreseen.why)
    assert (job.match_id, job.weight) == (foreseen.match_id, foreseen.weight)


def test_only_open_jobs_are_refreshed(day: MatchDay) -> None:
    done, held = day.job(day.a, state="strung"), day.job(day.a, state="held")
    day.refresh("Mon 09:00")
    assert [done.needed_by_at, held.needed_by_at] == [None, moment("Mon 10:30")]


def test_a_second_look_at_the_same_moment_changes_nothing(day: MatchDay) -> None:
    day.job(day.c)
    day.refresh("Mon 09:00")
    revision = day.event.revision
    assert day.refresh("Mon 09:00") == []
    assert day.event.revision == revision


def test_what_is_refreshed_stands_in_the_records(any_database: Database) -> None:
    with any_database.writing() as session:
        day = MatchDay(session)
        jobs = [day.job(day.a), day.job(day.b), day.job(day.e)]
        day.refresh("Mon 09:00")
        ids = [job.id for job in jobs]
    with any_database.reading() as session:
        times = [session.get_one(Job, job_id).needed_by_at for job_id in ids]
    assert times == [moment("Mon 10:30"), moment("Mon 10:30"), moment("Tue 12:30")]


def statements_to_refresh(database: Database, jobs: int) -> int:
    with database.writing() as session:
        day = MatchDay(session)
        visit, racquet = make_drop_off(session, day.a), make_racquet(session, day.a)
        for _ in range(jobs):
            day.job(day.a, drop_off=visit, racquet=racquet)
    with database.writing() as session, statements(session) as sent:
        needed_by.refresh_needed_by(session, session.get_one(Event, day.event.id), at=moment("Mon 09:00"))
    return len(sent)


def test_the_statements_are_as_many_for_one_job_as_for_forty(database: Database) -> None:
    assert statements_to_refresh(database, 1) == statements_to_refresh(database, 40)


def test_the_first_racquet_of_a_bag_counts_most_and_what_is_strung_counts_before_it(day: MatchDay) -> None:
    bag = [day.job(day.a) for _ in range(4)]
    day.refresh("Mon 09:00")
    assert [job.weight for job in bag] == [10, 5, 3, 3]
    bag[2].state = "on_machine"
    day.refresh("Mon 09:01")
    assert [job.weight for job in bag] == [5, 3, 10, 3]
    bag[2].state = "strung"
    assert day.refresh("Mon 09:02") == []
    assert [job.weight for job in bag] == [5, 3, 10, 3]


def test_late_begins_when_the_player_may_be_called_less_the_walk(day: MatchDay) -> None:
    job = day.job(day.a)
    day.refresh("Mon 09:00")
    assert (job.needed_by_at, job.latest_at) == (moment("Mon 10:30"), moment("Mon 10:50"))
