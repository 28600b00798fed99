"""Machines with a clock that was set back by an hour: what was read, repaired and strung later is told by numbers."""

from decimal import Decimal

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, MachineCheck, Outage
from desk.queries.close.span import UsageSpan
from desk.queries.close.string_rows import calibration_rows
from desk.queries.machines.machines import current_outage, machine_rows, usable_windows
from desk.queries.machines.wear import care_rows, wear_rows
from desk.queries.mishaps.mishaps import mishap_lines
from desk.services.bench import undo
from desk.services.counter.drop_offs import take_drop_off
from desk.services.counter.handovers import hand_over
from desk.services.machines import calibrating, machines
from desk.services.machines.servicing import note_care
from desk.services.mishaps.mishaps import MishapForm, report_mishap
from tests.services.clock_set_back import AFTER, BEFORE, string
from tests.services.small_desk import SmallDesk


@pytest.fixture
def session(any_session: Session) -> Session:
    """On both databases: each numbers rows in its own way."""
    return any_session


def read(machine_id: int, shown: str, session: Session, event: Event, acting) -> None:
    readings = [
        calibrating.Reading(reference=Decimal(kg), reading=Decimal(kg) + Decimal(shown), unit="kg")
        for kg in ("20", "25")
    ]
    calibrating.calibrate(session, event.id, machine_id, readings, acting=acting)


@pytest.mark.parametrize(("first", "second", "usable"), [("0", "1.5", False), ("1.5", "0", True)])
def test_the_later_reading_of_a_machine_counts(
    session: Session, desk: SmallDesk, first: str, second: str, usable: bool
) -> None:
    desk.event.calibration_required = True
    machine = desk.machines[0]
    read(machine.id, first, session, desk.event, BEFORE)
    read(machine.id, second, session, desk.event, AFTER)
    row = machine_rows(session, desk.event, AFTER.at)[0]
    assert (row.usable, row.calibrated_at) == (usable, AFTER.at)
    windows = usable_windows(session, desk.event, AFTER.at)[machine.id]
    assert any(start <= AFTER.at < end for start, end in windows) == usable


def test_a_reading_after_a_repair_counts_and_one_before_does_not(session: Session, desk: SmallDesk) -> None:
    desk.event.calibration_required = True
    machine = desk.machines[0]
    read(machine.id, "0", session, desk.event, AFTER)
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=AFTER, reason="gripper")
    machines.put_back_in_service(session, desk.event.id, machine.id, acting=BEFORE)
    assert "Not read since it was repaired" in machine_rows(session, desk.event, AFTER.at)[0].reason
    read(machine.id, "0", session, desk.event, AFTER)
    assert machine_rows(session, desk.event, AFTER.at)[0].usable


def test_a_machine_that_is_out_stays_out_until_somebody_says_otherwise(session: Session, desk: SmallDesk) -> None:
    machine = desk.machines[0]
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=BEFORE, reason="motor")
    assert current_outage(machine, AFTER.at) is not None
    assert usable_windows(session, desk.event, AFTER.at)[machine.id][-1][1] <= AFTER.at
    machines.put_back_in_service(session, desk.event.id, machine.id, acting=AFTER)
    assert current_outage(machine, AFTER.at) is current_outage(machine, BEFORE.at) is None
    assert session.scalars(select(Outage)).one().over


def test_a_machine_that_is_back_is_back(session: Session, desk: SmallDesk) -> None:
    machine = desk.machines[0]
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=AFTER, reason="motor")
    machines.put_back_in_service(session, desk.event.id, machine.id, acting=BEFORE)
    assert current_outage(machine, AFTER.at) is None
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=AFTER, reason="motor again")
    outage = current_outage(machine, AFTER.at)
    assert outage is not None and outage.reason == "motor again"


def test_a_check_that_was_done_counts_what_was_strung_after_it(session: Session, desk: SmallDesk) -> None:
    form = desk.bag(3)
    first, second, third = take_drop_off(session, desk.event.id, form, acting=BEFORE).jobs
    check = MachineCheck(event_id=desk.event.id, name="clamps", every_racquets=30)
    session.add(check)
    session.flush()
    machine = desk.machines[0]

    def counted() -> int:
        return next(row for row in wear_rows(session, desk.event) if row.machine_id == machine.id).checks[0].racquets

    string(session, desk, first, BEFORE)
    note_care(session, desk.event.id, machine.id, check.id, "first", acting=AFTER)
    assert counted() == 0
    string(session, desk, second, AFTER)
    assert counted() == 1
    note_care(session, desk.event.id, machine.id, check.id, "second", acting=BEFORE)
    assert counted() == 0
    string(session, desk, third, AFTER)
    hand_over(session, desk.event.id, [first.id], acting=AFTER, collected_by="coach")
    undo.undo_last(session, desk.event.id, first.id, acting=AFTER)
    assert counted() == 1
    care_last = care_rows(session, desk.event, machine_id=machine.id)
    assert [care.note for care in care_last] == ["second", "first"]


def test_a_mishap_tells_the_last_reading_before_its_racquet_was_begun(
    session: Session, desk: SmallDesk, job: Job
) -> None:
    machine = desk.machines[0]
    read(machine.id, "0", session, desk.event, AFTER)
    read(machine.id, "0.1", session, desk.event, BEFORE)
    string(session, desk, job, AFTER)
    read(machine.id, "1.5", session, desk.event, AFTER)
    report_mishap(session, desk.event.id, job.id, MishapForm(kind="string_broke"), acting=BEFORE)
    assert mishap_lines(session, desk.event)[0].calibration == "set 25 kg, read 25.1 kg, within the tolerance"


def test_a_failed_reading_is_answered_by_the_next_good_one(session: Session, desk: SmallDesk) -> None:
    machine = desk.machines[0]
    read(machine.id, "1.5", session, desk.event, BEFORE)
    read(machine.id, "0", session, desk.event, AFTER)
    whole = UsageSpan(days=(), from_at=None, to_at=None, end_at=BEFORE.at)
    rows = calibration_rows(session, desk.event, whole, [machine], lambda at: at)
    assert {row.action for row in rows if not row.within} == {
        f"not used until it is within, read again at {AFTER.at:%H:%M}, within"
    }
