"""A machine calibrated at two tensions, each reading held against the event's tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Calibration, Event, Machine
from desk.queries.machines.wear import newest_change
from desk.services.acting import Acting, lock_and_find, log_change
from desk.trade.bench import calibration
from desk.trade.errors import UnitError
from desk.trade.racquet.units import Tension, plain


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A tension that was set (`reference`) and what the gauge then read, in the same unit."""

    reference: Decimal
    reading: Decimal
    unit: str


def calibrate(
    session: Session, event_id: int, machine_id: int, readings: Sequence[Reading], *, acting: Acting
) -> list[Calibration]:
    """Record a calibration at two reference tensions at least, without a racquet on the machine.

    Each reading passes when it is within the event's tolerance; a machine with one that fails is left out of today's
    plan until it passes. Refused with fewer than two different tensions.
    """
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    read = [_read(one, number) for number, one in enumerate(readings, start=1)]
    if len({one.reference.in_kg for one in read}) < calibration.READINGS_A_DAY:
        raise BadInput(
            f"Calibrate {machine.name} at two tensions, such as 20 kg and 25 kg.",
            fields={"reference_2": "give a second, different tension"},
        )
    after = newest_change(session, event)
    rows = [_calibration(event, one, after, acting) for one in read]
    machine.calibrations.extend(rows)
    log_change(
        session,
        event,
        acting,
        f"{machine.name} calibrated: {'; '.join(_said(row) for row in rows)}",
        subject="machines",
    )
    return rows


def _read(one: Reading, number: int) -> calibration.Reading:
    tensions = {}
    for name in ("reference", "reading"):
        try:
            tensions[name] = Tension(getattr(one, name), one.unit)
        except UnitError as error:
            raise BadInput(str(error), fields={f"{name}_{number}": str(error)}) from error
    return calibration.Reading(day=0, reference=tensions["reference"], shown=tensions["reading"])


def _calibration(event: Event, one: calibration.Reading, after: int | None, acting: Acting) -> Calibration:
    return Calibration(
        at=acting.at,
        by=acting.by,
        reference=one.reference.value,
        reading=one.shown.value,
        unit=one.reference.unit,
        tolerance_lb=event.calibration_tolerance_lb,
        passed=one.within(Decimal(str(event.calibration_tolerance_lb))),
        after_change_id=after,
    )


def _said(row: Calibration) -> str:
    word = "within tolerance" if row.passed else "OUTSIDE tolerance"
    return f"set {plain(row.reference)} {row.unit}, read {plain(row.reading)} {row.unit}, {word}"
