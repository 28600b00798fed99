"""The team: hours, absences, home machines."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Shift, Stringer
from desk.queries.spans import joined, without
from desk.queries.team.team import stringer_rows, work_windows
from desk.services.team import team
from tests import make
from tests.make import acting, moment


def set_up(session: Session) -> tuple[Event, Stringer]:
    event = make.make_event(session, days=1)
    return event, make.make_stringer(session, event, hours=[("08:00", "12:00"), ("13:00", "18:00")])


def windows(session: Session, event: Event, stringer: Stringer, at: str = "Mon 14:00") -> list[tuple[str, str]]:
    """Windows of the stringer in UTC, as known AT; Vienna is two hours ahead in May."""
    return [
        (f"{start:%H:%M}", f"{end:%H:%M}") for start, end in work_windows(session, event, make.moment(at))[stringer.id]
    ]


def test_a_break_is_the_gap_between_two_shifts(any_session: Session) -> None:
    event, stringer = set_up(any_session)
    assert windows(any_session, event, stringer) == [("06:00", "10:00"), ("11:00", "16:00")]


def test_a_sick_stringer_works_no_more_until_somebody_knows(any_session: Session) -> None:
    event, stringer = set_up(any_session)
    team.call_in_absent(any_session, event.id, stringer.id, acting=acting("Mon 10:00"), reason="sick")
    assert windows(any_session, event, stringer) == [("06:00", "08:00")]
    team.back_at_work(any_session, event.id, stringer.id, acting=acting("Mon 14:00"))
    assert windows(any_session, event, stringer) == [("06:00", "08:00"), ("12:00", "16:00")]


def test_a_time_back_can_be_named_later(session: Session) -> None:
    event, stringer = set_up(session)
    team.call_in_absent(session, event.id, stringer.id, acting=acting("Mon 10:00"), reason="sick")
    absence = team.call_in_absent(
        session, event.id, stringer.id, acting=acting("Mon 10:30"), back_at=moment("Mon 15:00")
    )
    assert absence.reason == "sick"
    assert windows(session, event, stringer) == [("06:00", "08:00"), ("13:00", "16:00")]
    assert len(stringer.absences) == 1


def test_the_rows_say_who_is_where(session: Session) -> None:
    event, stringer = set_up(session)
    back_at = moment("Mon 15:00")
    (row,) = stringer_rows(session, event, moment("Mon 09:00"))
    assert (row.at_work, row.absent, row.back_at) == (True, False, None)
    team.call_in_absent(session, event.id, stringer.id, acting=acting("Mon 10:00"), reason="sick", back_at=back_at)
    (row,) = stringer_rows(session, event, moment("Mon 11:00"))
    assert (row.at_work, row.absent, row.back_at, row.next_at) == (False, True, back_at, back_at)


def test_a_stringer_who_is_here_cannot_come_back(session: Session) -> None:
    event, stringer = set_up(session)
    with pytest.raises(Conflict, match="not marked as absent"):
        team.back_at_work(session, event.id, stringer.id, acting=acting())


def test_an_absence_ends_after_it_begins(session: Session) -> None:
    event, stringer = set_up(session)
    with pytest.raises(BadInput, match="after the absence begins"):
        team.call_in_absent(session, event.id, stringer.id, acting=acting("Mon 10:00"), back_at=moment("Mon 10:00"))


def test_shifts_that_overlap_are_refused(session: Session) -> None:
    event, stringer = set_up(session)
    with pytest.raises(BadInput, match="overlap"):
        hours = [(moment("Mon 13:00"), moment("Mon 18:00")), (moment("Mon 17:59"), moment("Mon 20:00"))]
        team.set_shifts(session, event.id, stringer.id, hours, acting=acting())


def test_hours_are_set_anew(session: Session) -> None:
    event, stringer = set_up(session)
    team.set_shifts(session, event.id, stringer.id, [(moment("Mon 09:00"), moment("Mon 10:00"))], acting=acting())
    assert windows(session, event, stringer) == [("07:00", "08:00")]
    assert len(session.scalars(select(Shift)).all()) == 1


def test_a_new_stringer_gets_the_next_code(session: Session) -> None:
    event, _ = set_up(session)
    stringer = team.add_stringer(session, event.id, team.StringerForm(name="Odo Brask", pace=90), acting=acting())
    assert (stringer.code, stringer.pace) == ("S02", 90)


def test_a_pace_that_cannot_be_is_refused(session: Session) -> None:
    event, stringer = set_up(session)
    with pytest.raises(BadInput) as refused:
        form = team.StringerForm(name="Odo Brask", pace=10, pace_override=300)
        team.edit_stringer(session, event.id, stringer.id, form, acting=acting())
    assert set(refused.value.fields) == {"pace", "pace_override"}


MINUTES = st.integers(0, 300)
SPANS = st.lists(st.tuples(MINUTES, MINUTES), max_size=6)


@given(spans=SPANS, gaps=SPANS)
def test_hours_less_absences_are_the_minutes_in_one_and_not_the_other(
    spans: list[tuple[int, int]], gaps: list[tuple[int, int]]
) -> None:
    start = datetime(2031, 5, 12, tzinfo=UTC)

    def moments(pairs: list[tuple[int, int]]) -> list[tuple[datetime, datetime]]:
        return [(start + timedelta(minutes=a), start + timedelta(minutes=b)) for a, b in pairs]

    left = without(moments(spans), moments(gaps))
    inside = {minute for a, b in spans for minute in range(a, b)} - {minute for a, b in gaps for minute in range(a, b)}
    found = {m for a, b in left for m in range(_minute(start, a), _minute(start, b))}
    assert found == inside
    assert left == joined(left)


def _minute(start: datetime, at: datetime) -> int:
    return int((at - start).total_seconds() // 60)
