"""Rain, a dead machine and a sick stringer in one day: nothing forgotten, moved, or late without need."""

import pytest

from desk.models import Event, Job
from desk.models.database import Database
from tests.services.played_day.bad_day import BadDay, hindsight, minutes_late

pytestmark = pytest.mark.slow

ONE_JOB = 22
"""Minutes that chance may cost: one racquet that was begun a moment before."""


def test_a_bad_day_forgets_nothing_moves_nothing_and_is_as_late_as_it_must_be(database: Database) -> None:
    day = BadDay(database, seed=3)
    day.play()
    assert day.seen.forgotten == set()
    assert day.seen.moved == set()
    with database.reading() as session:
        assert {session.get_one(Job, job_id).state for job_id in day.open_since} == {"strung"}
        assert session.get_one(Event, day.event_id).change_number > 80
        late, unavoidable = minutes_late(session, day.event_id), hindsight(session, day)
    must_be = {name for name, minutes in unavoidable.items() if minutes}
    assert len(must_be) == 2
    assert {name for name, minutes in late.items() if minutes} == must_be
    assert all(late[name] <= minutes + ONE_JOB for name, minutes in unavoidable.items())
