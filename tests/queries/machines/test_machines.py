"""Machines on the screen and for the plan, in a fixed number of statements."""

from decimal import Decimal
from functools import partial

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Machine
from desk.queries.machines.machines import machine_rows, trend_rows, usable_windows
from desk.services.machines import calibrating, machines
from tests import make
from tests.make import acting, moment
from tests.statements import statements_after


def calibrate(session: Session, event: Event, machine: Machine, shown: str = "20.1", at: str = "Mon 07:40") -> None:
    readings = [
        calibrating.Reading(reference=Decimal(reference), reading=Decimal(reading), unit="kg")
        for reference, reading in (("20", shown), ("25", "25"))
    ]
    calibrating.calibrate(session, event.id, machine.id, readings, acting=acting(at))


def test_machines_take_a_fixed_number_of_statements(session: Session, event: Event) -> None:

    def more() -> None:
        machine = make.make_machine(session, event)
        calibrate(session, event, machine)
        machines.take_out_of_service(session, event.id, machine.id, acting=acting(), reason="belt")

    reads = [partial(query, session, event, moment("Mon 12:00")) for query in (usable_windows, machine_rows)]
    asked = statements_after(session, more, *reads, partial(trend_rows, session, event))
    assert asked == [[5, 5, 1], [5, 5, 1]]


@pytest.mark.parametrize(
    ("shown", "usable", "reason"),
    [
        ("20.1", True, "Calibrated today."),
        (
            "21",
            False,
            "Set to 20 kg it pulled 21 kg: more than 0.5 lb off. Put it right and calibrate again.",
        ),
        (None, False, "Not calibrated: 0 of 2 tensions read today. Read it before work."),
    ],
)
def test_a_machine_says_why_the_plan_may_use_it_or_not(
    session: Session, event: Event, shown: str | None, usable: bool, reason: str
) -> None:
    machine = make.make_machine(session, event)
    if shown is not None:
        calibrate(session, event, machine, shown)
    (row,) = machine_rows(session, event, moment("Mon 09:00"))
    assert (row.usable, row.reason) == (usable, reason)


def test_a_machine_out_of_service_says_since_when_and_until_when(session: Session, event: Event) -> None:
    machine = make.make_machine(session, event)
    calibrate(session, event, machine)
    machines.take_out_of_service(
        session, event.id, machine.id, acting=acting("Mon 10:00"), reason="belt", back_at=moment("Mon 15:00")
    )
    (row,) = machine_rows(session, event, moment("Mon 11:00"))
    assert (row.usable, row.reason, row.out_since, row.back_at) == (
        False, "Out of service: belt", moment("Mon 10:00"), moment("Mon 15:00"),
    )  # fmt: skip
    (row,) = machine_rows(session, event, moment("Mon 15:00"))
    assert (row.usable, row.out_since, row.back_at) == (False, moment("Mon 10:00"), moment("Mon 15:15"))
    machines.put_back_in_service(session, event.id, machine.id, acting=acting("Mon 15:05"))
    (row,) = machine_rows(session, event, moment("Mon 15:06"))
    assert (row.usable, row.reason) == (
        False, "Not read since it was repaired or moved: read it before its next racquet.",
    )  # fmt: skip
    calibrate(session, event, machine, at="Mon 15:10")
    (row,) = machine_rows(session, event, moment("Mon 15:12"))
    assert (row.usable, row.out_since) == (True, None)


def test_the_chart_has_every_reading_in_order(session: Session, event: Event) -> None:
    machine = make.make_machine(session, event)
    calibrate(session, event, machine, "20.2", at="Tue 07:40")
    calibrate(session, event, machine, "20.1", at="Mon 07:40")
    rows = trend_rows(session, event)[machine.id]
    # 0.1 kg is 0.2205 lb (NIST SP 811, B.8).
    assert [round(row.off_lb, 4) for row in rows] == [0.2205, 0, 0.4409, 0]
    assert [row.at for row in trend_rows(session, event, since_at=moment("Tue 00:00"))[machine.id]] == [
        moment("Tue 07:40"), moment("Tue 07:40"),
    ]  # fmt: skip
