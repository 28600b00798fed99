"""Machines: hours in service, outages, and calibration that empties a row of the plan."""

from decimal import Decimal

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import Event, Machine
from desk.models.database import Database
from desk.queries.machines.machines import machine_rows, usable_windows
from desk.services.machines import calibrating, machines
from tests import make
from tests.make import acting, moment


def reading(reference: str, read: str, unit: str = "kg") -> calibrating.Reading:
    return calibrating.Reading(reference=Decimal(reference), reading=Decimal(read), unit=unit)


GOOD = (reading("20", "20.1"), reading("25", "24.8"))


def set_up(session: Session, **over: object) -> tuple[Event, Machine]:
    event = make.make_event(session, **over)
    return event, make.make_machine(session, event)


def windows(session: Session, event: Event, machine: Machine, at: str) -> list[tuple[str, str]]:
    """Windows of the machine, written as the day of May 2031 and the UTC time."""
    found = usable_windows(session, event, moment(at))[machine.id]
    return [(f"{start:%d %H:%M}", f"{end:%d %H:%M}") for start, end in found]


def test_a_machine_that_is_not_calibrated_today_is_not_used_today(any_session: Session) -> None:
    event, machine = set_up(any_session)
    # Vienna is two hours ahead of UTC in May.
    assert windows(any_session, event, machine, "Mon 08:00") == [("12 22:00", "14 22:00")]


def test_a_calibrated_machine_is_used_today(any_session: Session) -> None:
    event, machine = set_up(any_session)
    calibrating.calibrate(any_session, event.id, machine.id, GOOD, acting=acting("Mon 07:40"))
    assert windows(any_session, event, machine, "Mon 08:00") == [("11 22:00", "14 22:00")]
    assert windows(any_session, event, machine, "Tue 08:00") == [("11 22:00", "12 22:00"), ("13 22:00", "14 22:00")]


def test_a_machine_outside_its_tolerance_is_not_used_until_it_is_put_right(session: Session) -> None:
    event, machine = set_up(session)
    bad = (reading("20", "20.0"), reading("25", "25.5"))
    rows = calibrating.calibrate(session, event.id, machine.id, bad, acting=acting("Mon 07:40"))
    # 0.5 kg is 1.1 lb, and 1 lb is the tolerance.
    assert [row.passed for row in rows] == [True, False]
    assert windows(session, event, machine, "Mon 08:00") == [("12 22:00", "14 22:00")]
    calibrating.calibrate(session, event.id, machine.id, GOOD, acting=acting("Mon 08:10"))
    assert windows(session, event, machine, "Mon 08:15") == [("11 22:00", "14 22:00")]


def test_an_event_may_do_without_calibration(session: Session) -> None:
    event, machine = set_up(session, calibration_required=False)
    assert windows(session, event, machine, "Mon 08:00") == [("11 22:00", "14 22:00")]


def test_work_after_midnight_counts_on_the_calibration_of_the_evening(session: Session) -> None:
    event, machine = set_up(session)
    event.days[0].closes_at = moment("Tue 02:00")
    session.flush()
    calibrating.calibrate(session, event.id, machine.id, GOOD, acting=acting("Mon 07:40"))
    # The first day lasts until its desk closes at 02:00, which is 00:00 UTC.
    assert windows(session, event, machine, "Tue 00:30") == [("11 22:00", "14 22:00")]
    assert windows(session, event, machine, "Tue 02:00") == [("11 22:00", "13 00:00"), ("13 22:00", "14 22:00")]


def test_a_calibration_takes_two_tensions(session: Session) -> None:
    event, machine = set_up(session)
    with pytest.raises(BadInput, match="at two tensions"):
        calibrating.calibrate(
            session, event.id, machine.id, [reading("20", "20"), reading("20.0", "20")], acting=acting()
        )


def test_a_tension_without_sense_is_refused(session: Session) -> None:
    event, machine = set_up(session)
    with pytest.raises(BadInput) as refused:
        calibrating.calibrate(
            session, event.id, machine.id, [reading("20", "20"), reading("25", "250")], acting=acting()
        )
    assert set(refused.value.fields) == {"reading_2"}


def test_a_reading_keeps_its_unit_and_digits(any_database: Database) -> None:
    with any_database.writing() as session:
        event, machine = set_up(session)
        given = (reading("50", "50.50", "lb"), reading("60", "60.5", "lb"))
        calibrating.calibrate(session, event.id, machine.id, given, acting=acting("Mon 07:40"))
    with any_database.reading() as session:
        (row,) = machine_rows(session, session.get_one(Event, event.id), moment("Mon 09:00"))
        assert [(str(one.reading), one.unit, one.off_lb) for one in row.readings] == [
            ("50.50", "lb", 0.5),
            ("60.5", "lb", 0.5),
        ]
        assert (row.calibrated, row.usable, row.reason) == (True, True, "Calibrated today.")


def test_an_outage_is_cut_out_of_the_hours(any_session: Session) -> None:
    event, machine = set_up(any_session, calibration_required=False)
    back_at = moment("Mon 15:00")
    machines.take_out_of_service(
        any_session, event.id, machine.id, acting=acting("Mon 12:00"), reason="belt", back_at=back_at
    )
    assert windows(any_session, event, machine, "Mon 12:00") == [("11 22:00", "12 10:00"), ("12 13:00", "14 22:00")]


def test_an_outage_without_an_end_lasts_until_the_machine_is_back(session: Session) -> None:
    event, machine = set_up(session, calibration_required=False)
    machines.take_out_of_service(session, event.id, machine.id, acting=acting("Mon 12:00"), reason="belt")
    assert windows(session, event, machine, "Mon 12:00") == [("11 22:00", "12 10:00")]
    machines.put_back_in_service(session, event.id, machine.id, acting=acting("Mon 13:30"))
    assert windows(session, event, machine, "Mon 13:30") == [("11 22:00", "12 10:00"), ("12 11:30", "14 22:00")]


def test_a_machine_that_is_out_already_gets_another_time_back(session: Session) -> None:
    event, machine = set_up(session, calibration_required=False)
    for at, back in (("Mon 12:00", None), ("Mon 12:30", moment("Mon 14:00"))):
        machines.take_out_of_service(session, event.id, machine.id, acting=acting(at), reason="belt", back_at=back)
    assert windows(session, event, machine, "Mon 12:30") == [("11 22:00", "12 10:00"), ("12 12:00", "14 22:00")]


def test_a_machine_in_service_cannot_come_back(session: Session) -> None:
    event, machine = set_up(session)
    with pytest.raises(Conflict, match="in service already"):
        machines.put_back_in_service(session, event.id, machine.id, acting=acting())


def test_an_outage_needs_its_reason_and_a_later_end(session: Session) -> None:
    event, machine = set_up(session)
    with pytest.raises(BadInput, match="what is wrong"):
        machines.take_out_of_service(session, event.id, machine.id, acting=acting(), reason=" ")
    with pytest.raises(BadInput, match="after it went out"):
        machines.take_out_of_service(
            session, event.id, machine.id, acting=acting("Mon 12:00"), reason="belt", back_at=moment("Mon 12:00")
        )


def test_hours_in_service_bound_the_plan(session: Session) -> None:
    event, machine = set_up(session, calibration_required=False)
    spans = [(moment("Mon 14:00"), moment("Mon 18:00")), (moment("Mon 08:00"), moment("Mon 12:00"))]
    machines.set_hours_of_day(session, event.id, machine.id, event.days[0].date, spans, acting=acting())
    assert windows(session, event, machine, "Mon 08:00")[:2] == [("12 06:00", "12 10:00"), ("12 12:00", "12 16:00")]


def test_a_new_machine_gets_the_next_code(session: Session) -> None:
    event, _ = set_up(session)
    form = machines.MachineForm(name="Bench 9", kind="lockout")
    assert machines.add_machine(session, event.id, form, acting=acting()).code == "M02"


def test_a_machine_of_unknown_kind_is_refused(session: Session) -> None:
    event, machine = set_up(session)
    with pytest.raises(BadInput) as refused:
        form = machines.MachineForm(name="", kind="crank", reach_cm=0)
        machines.edit_machine(session, event.id, machine.id, form, acting=acting())
    assert set(refused.value.fields) == {"name", "kind", "reach_cm"}


def test_a_machine_of_another_event_is_not_found(session: Session) -> None:
    event, _ = set_up(session)
    _, other = set_up(session)
    with pytest.raises(NotFound, match="another event"):
        machines.put_back_in_service(session, event.id, other.id, acting=acting())


def test_a_failed_calibration_asks_for_a_new_plan(session: Session) -> None:
    event, machine = set_up(session)
    before = event.change_number
    calibrating.calibrate(session, event.id, machine.id, GOOD, acting=acting("Mon 07:40"))
    assert event.change_number == before + 1


def test_the_trend_shows_where_a_machine_is_drifting(session: Session) -> None:
    event, machine = set_up(session)
    event.calibration_tolerance_lb = 1.0
    for day, off in (("Mon", "20.1"), ("Tue", "20.2"), ("Wed", "20.3")):
        given = (reading("20", off), reading("25", str(Decimal(off) + 5)))
        calibrating.calibrate(session, event.id, machine.id, given, acting=acting(f"{day} 07:40"))
    (row,) = machine_rows(session, event, moment("Wed 09:00"))
    # A tenth of a kilogram a day is 0.2205 lb a day (NIST SP 811, B.8); from 0.3 kg two more lead outside 1 lb.
    assert row.drift is not None
    assert row.drift.lb_a_day == pytest.approx(0.2205, abs=1e-4)
    assert row.drift.days_left == 2
