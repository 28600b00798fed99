"""What is needed in the morning is left for the morning, where that has room."""

from desk.models.database import Database
from desk.services.plan.planning import Effort, plan_event
from tests import make


def test_a_racquet_for_the_next_morning_is_not_strung_on_the_day_before(database: Database) -> None:
    with database.writing() as session:
        event = make.make_event(session, calibration_required=False)
        make.make_machine(session, event)
        make.make_stringer(session, event, hours=[("08:00", "16:00")])
        needed = {"needed_by_kind": "time", "needed_by_at": make.moment("Tue 10:30")}
        job = make.make_job(session, make.make_player(session, event), dropped_at=make.moment("Mon 10:00"), **needed)
        event_id, name = event.id, job.plan_name
    plan = plan_event(database, event_id, at=make.moment("Mon 10:00"), effort=Effort(seconds=5, steps=2000))
    assert plan.by_job()[name].start == (24 + 8) * 60
