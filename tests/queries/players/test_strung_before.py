"""The last beds of a racquet, the hours each was played, and what the trade advises."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, NotFound
from desk.models import Job
from desk.queries.players.strung_before import StrungBefore, strung_before
from desk.services.bench.jobs import finish_job, start_job
from desk.services.counter.drop_offs import take_drop_off
from desk.services.counter.handovers import hand_over
from tests import make
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk


def again(session: Session, desk: SmallDesk, time: str, *, played: float | None = None, day: str = "Mon") -> Job:
    """String the first racquet once more from TIME and hand it over within the hour."""
    form = desk.form(desk.racquet_form(needed_by_kind="none", played_hours=played), key=f"{day} {time}")
    hour = f"{day} {time[:2]}"
    (job,) = take_drop_off(session, desk.event.id, form, acting=make.acting(f"{hour}:00")).jobs
    start_job(session, desk.event.id, job.id, **desk.bench(), acting=make.acting(f"{hour}:05"))
    finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=make.acting(f"{hour}:30"))
    hand_over(session, desk.event.id, [job.id], collected_by="x", acting=make.acting(f"{hour}:40"))
    return job


def past(session: Session, desk: SmallDesk, at: str = "Mon 20:00") -> StrungBefore:
    return strung_before(session, desk.event, desk.player, desk.racquets[0].number, make.moment(at))


def test_the_last_five_beds_stand_newest_first(session: Session) -> None:
    desk = small_desk(session)
    jobs = [again(session, desk, f"{hour:02}:00") for hour in range(9, 15)]
    assert [bed.card.job_id for bed in past(session, desk).beds] == [job.id for job in reversed(jobs[1:])]


def test_hours_said_at_the_next_drop_off_belong_to_the_bed_before(session: Session) -> None:
    desk = small_desk(session)
    again(session, desk, "09:00")
    again(session, desk, "14:00", played=2.5)
    assert [(bed.hours, bed.basis) for bed in past(session, desk).beds] == [(None, ""), (2.5, "said")]
    assert past(session, desk).advice is None


def test_matches_of_this_event_count_by_their_length_where_nobody_says(session: Session) -> None:
    """A match from 11:00 to 12:45 is 1.75 h; one before the racquet was strung counts for nothing."""
    desk = small_desk(session)
    again(session, desk, "09:00")
    court = make.make_court(session, desk.event)
    for start, end in (("08:00", "09:20"), ("11:00", "12:45")):
        match = make.make_match(session, court, day=desk.event.days[0], players=(desk.player, None))
        match.started_at, match.ended_at = make.moment(f"Mon {start}"), make.moment(f"Mon {end}")
    session.flush()
    (bed,) = past(session, desk).beds
    assert (bed.hours, bed.basis) == (1.8, "matches")
    assert past(session, desk).advice.urgency == "not yet"


def test_the_range_printed_on_the_frame_is_given_in_its_unit(session: Session) -> None:
    desk = small_desk(session)
    desk.frame.tension_low, desk.frame.tension_high, desk.frame.tension_unit = 48, 58, "lb"
    session.flush()
    session.expire_all()
    found = past(session, desk)
    assert (found.low.display(), found.high.display(), found.beds, found.advice) == ("48 lb", "58 lb", (), None)


def test_hours_that_cannot_be_are_refused(session: Session) -> None:
    desk = small_desk(session)
    again(session, desk, "09:00")
    form = desk.form(desk.racquet_form(played_hours=-1.0), key="two")
    with pytest.raises(BadInput, match="hours of play"):
        take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 14:00"))


def test_a_racquet_that_is_not_there_is_told(session: Session) -> None:
    desk = small_desk(session)
    with pytest.raises(NotFound, match="no racquet 77"):
        strung_before(session, desk.event, desk.player, 77, make.moment("Mon 12:00"))
