"""Machines: where they stand today, when the plan may use them, and how their readings went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from desk.models import Calibration, Event, Machine, Outage, ServiceHours
from desk.queries.event.event_days import DaySpan, day_at, day_spans
from desk.queries.row_making import grouped, row_of
from desk.queries.spans import Span, gap, holds, joined, without
from desk.trade.bench.calibration import Drift, Fitness, Reading, drift, fit_today
from desk.trade.play.expected import still_expected
from desk.trade.racquet.units import Tension, TensionUnit

NO_DAY = Fitness(False, "The desk is not open today: calibrate on the day of work.")


@dataclass(frozen=True, kw_only=True)
class ReadingRow:
    """One reading against a reference tension, in the unit in which it was spoken.

    `off_lb` is the reading less the reference in pounds, so that readings in both units share a chart.
    """

    calibration_id: int
    machine_id: int
    at: datetime
    by: str
    reference: Decimal
    reading: Decimal
    unit: str
    off_lb: float
    tolerance_lb: float
    passed: bool


@dataclass(frozen=True, kw_only=True)
class MachineRow:
    """One machine as it stands; `reason` says why the plan may or may not use it, `failed` that it reads too far off.

    `drift` is the trend of its errors over the days, None before there are three days of readings.
    """

    machine_id: int
    code: str
    name: str
    kind: str
    reach_cm: float
    calibrated: bool
    reason: str
    calibrated_at: datetime | None
    out_since: datetime | None
    back_at: datetime | None
    out_reason: str
    usable: bool
    failed: bool
    drift: Drift | None
    readings: tuple[ReadingRow, ...]


def usable_windows(session: Session, event: Event, at: datetime) -> dict[int, list[Span]]:
    """Return for each machine the spans of UTC in which the plan may use it, as known at AT.

    Hours in service less outages. Where the event requires calibration, the rest of today is left
    out until today's is done and within tolerance; later days count on it being done at opening.
    """
    spans = day_spans(session, event)
    today, read = read_today(session, event, at, spans)
    windows = {}
    for machine in machines_of(session, event):
        gaps = [gap(outage, at) for outage in machine.outages]
        if today is not None and not fitness(event, machine, read.get(machine.id, ()), today).fit:
            gaps.append((today.from_at, today.to_at))
        windows[machine.id] = without(_service(machine, spans), gaps)
    return windows


def why_unusable(session: Session, event: Event, machine: Machine, at: datetime) -> str:
    """Return why the plan would not start a racquet on the machine at AT; nothing when it would.

    Its hours in service are the plan's alone: a racquet that is begun a little after them does no harm.
    """
    outage = current_outage(machine, at)
    if outage is not None:
        return f"Out of service: {outage_words(outage)}."
    today, read = read_today(session, event, at)
    found = None if today is None else fitness(event, machine, read.get(machine.id, ()), today)
    return "" if found is None or found.fit else found.reason


def why_machines_rest(session: Session, event: Event, at: datetime) -> dict[int, str]:
    """Return why the plan would not start a racquet at AT, by machine; those that it would are left out."""
    today, read = read_today(session, event, at)
    found = {}
    for machine in machines_of(session, event):
        outage = current_outage(machine, at)
        fit = None if today is None else fitness(event, machine, read.get(machine.id, ()), today)
        if outage is not None:
            found[machine.id] = f"Out of service: {outage_words(outage)}."
        elif fit is not None and not fit.fit:
            found[machine.id] = fit.reason
    return found


def machines_of(session: Session, event: Event, *more: Any) -> Sequence[Machine]:
    """Return the event's machines in the desk's order, with their hours and outages; MORE is loaded with them."""
    found = (
        select(Machine)
        .where(Machine.event_id == event.id)
        .order_by(Machine.position, Machine.code)
        .options(selectinload(Machine.services), selectinload(Machine.outages), *more)
        .execution_options(populate_existing=True)
    )
    return session.scalars(found).all()


def _service(machine: Machine, spans: list[DaySpan]) -> list[Span]:
    if not machine.services and spans:
        return [(spans[0].from_at, spans[-1].to_at)]
    return [(hours.from_at, hours.to_at) for hours in machine.services]


def read_today(
    session: Session, event: Event, at: datetime, spans: list[DaySpan] | None = None
) -> tuple[DaySpan | None, dict[int, list[Calibration]]]:
    """Return today and its readings by machine; neither where no calibration is required, or the desk is closed."""
    today = day_at(spans or day_spans(session, event), at) if event.calibration_required else None
    return today, {} if today is None else _read_since(session, event, today.from_at)


def _read_since(session: Session, event: Event, since_at: datetime | None) -> dict[int, list[Calibration]]:
    found = select(Calibration).join(Machine, Machine.id == Calibration.machine_id).where(Machine.event_id == event.id)
    if since_at is not None:
        found = found.where(Calibration.at >= since_at)
    return grouped((one.machine_id, one) for one in session.scalars(found.order_by(Calibration.id)))


def fitness(event: Event, machine: Machine, readings: Sequence[Calibration], today: DaySpan) -> Fitness:
    """Return whether today's calibration lets a machine string, with the reason in words.

    What was read before a repair or a move of the machine counts no more; that is told by the numbers of the readings.
    """
    back = [one for one in machine.outages if one.over and one.to_at is not None and today.holds(one.to_at)]
    back_at = [one.to_at for one in back if one.to_at is not None]
    counts_after = max((one.last_reading_id or 0 for one in back), default=0)
    of_today = [_trade_reading(one, 0) for one in readings if today.holds(one.at) and one.id > counts_after]
    found = fit_today(of_today, 0, _tolerance(event))
    if found.fit or of_today or not back:
        return found
    return Fitness(
        False, "Not read since it was repaired or moved: read it before its next racquet.", back_at=max(back_at)
    )


def _trade_reading(one: Calibration, day: int) -> Reading:
    unit: TensionUnit = "kg" if one.unit == "kg" else "lb"
    return Reading(day=day, reference=Tension(one.reference, unit), shown=Tension(one.reading, unit))


def _tolerance(event: Event) -> Decimal:
    return Decimal(str(event.calibration_tolerance_lb))


def _drift(event: Event, machine: Machine, spans: list[DaySpan]) -> Drift | None:
    days = [(number, one) for one in machine.calibrations for number, day in enumerate(spans) if day.holds(one.at)]
    return drift([_trade_reading(one, number) for number, one in days], _tolerance(event))


def machine_rows(session: Session, event: Event, at: datetime, *, readings: int = 20) -> list[MachineRow]:
    """Return every machine with its state at AT and its newest READINGS, oldest first."""
    spans = day_spans(session, event)
    found = machines_of(session, event, selectinload(Machine.calibrations))
    return [_row(event, machine, spans, at, readings) for machine in found]


def _row(event: Event, machine: Machine, spans: list[DaySpan], at: datetime, readings: int) -> MachineRow:
    today = day_at(spans, at)
    fit = NO_DAY if today is None else fitness(event, machine, machine.calibrations, today)
    outage = current_outage(machine, at)
    return row_of(
        MachineRow,
        machine,
        machine_id=machine.id,
        calibrated=fit.fit,
        reason=fit.reason if outage is None else f"Out of service: {outage.reason}",
        calibrated_at=machine.calibrations[-1].at if machine.calibrations else None,
        out_since=None if outage is None else outage.from_at,
        back_at=None if outage is None else still_expected(outage.to_at, at),
        out_reason="" if outage is None else outage.reason,
        usable=outage is None and (fit.fit or not event.calibration_required),
        failed=outage is None and fit.failed and event.calibration_required,
        drift=_drift(event, machine, spans),
        readings=tuple(_reading(one) for one in machine.calibrations[-readings:]),
    )


def outage_words(outage: Outage) -> str:
    """Return why a machine is out; that it is out of service is no reason."""
    reason = outage.reason.strip().rstrip(".")
    return "no reason was given" if reason.lower() in ("", "out of service") else reason


def current_outage(machine: Machine, at: datetime) -> Outage | None:
    """Return the outage that holds at AT, if the machine is out of service then."""
    return next((one for one in machine.outages if holds(one, at)), None)


def trend_rows(session: Session, event: Event, *, since_at: datetime | None = None) -> dict[int, list[ReadingRow]]:
    """Return the readings of each machine for its chart, oldest first."""
    read = _read_since(session, event, since_at)
    return {machine: [_reading(one) for one in sorted(rows, key=lambda row: row.at)] for machine, rows in read.items()}


def _reading(one: Calibration) -> ReadingRow:
    return row_of(ReadingRow, one, calibration_id=one.id, off_lb=float(_trade_reading(one, 0).error_lb))


def hours_by_day(session: Session, event: Event, machine: Machine) -> list[tuple[DaySpan, list[Span]]]:
    """Return each day of the event with the machine's hours in service on it, in order.

    A machine without any hours is in service throughout, so each day then comes whole.
    """
    found = select(ServiceHours.from_at, ServiceHours.to_at).where(ServiceHours.machine_id == machine.id)
    spans = [(from_at, to_at) for from_at, to_at in session.execute(found)]
    days = day_spans(session, event)
    return [(day, _within(day, spans) if spans else [whole(day)]) for day in days]


def whole(day: DaySpan) -> Span:
    """Return all of a day as one span."""
    return day.from_at, day.to_at


def _within(day: DaySpan, spans: list[Span]) -> list[Span]:
    return joined((max(start, day.from_at), min(end, day.to_at)) for start, end in spans)
