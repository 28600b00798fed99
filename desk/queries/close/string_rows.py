"""String, tensions and materials of the racquets in a report, and the machines' readings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from statistics import fmean

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import Calibration, Event, Machine, Reel, ReelEntry
from desk.queries.close.facts import Facts, JobFact
from desk.queries.close.job_rows import spoken
from desk.queries.close.span import UsageSpan
from desk.queries.row_making import grouped, row_of
from desk.queries.spans import said
from desk.queries.string.orders import order_rows
from desk.queries.string.store import ReelRow as StoreRow
from desk.queries.string.store import reel_rows
from desk.trade.racquet.bed import HALVES, Half
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, ROUNDING_M, SETS
from exports.rows.stock import CalibrationRow, MaterialRow, OrderRow, ReelRow, TensionRow
from exports.units import KG_PER_LB, Tension

DESK = "the desk"
SOON = timedelta(hours=1)
"""A machine taken out of service so soon after a reading was taken out because of it (common practice)."""


def reel_usage(session: Session, event: Event, span: UsageSpan) -> tuple[ReelRow, ...]:
    """What went from each reel, and from all sets of one string and owner together.

    Opening is what was on it when the span began and what came since; closing the sum of its entries at
    the end, measured when nothing was cut since it was last measured. What closing misses is unexplained.
    """
    measured = _measured(session, event, span)
    rows = filter(_had_something, reel_rows(session, event, from_at=span.from_at, to_at=span.to_at))
    groups = grouped(
        (row.reel_id if row.kind == "reel" else (row.kind, row.string_id, row.owner_id), row) for row in rows
    )
    return tuple(_reel_row(group, measured) for group in groups.values())


def shown_reels(rows: Sequence[ReelRow]) -> tuple[ReelRow, ...]:
    """The reels to print: all of the desk's, and those of players from which something was cut."""
    return tuple(row for row in rows if row.owner == DESK or row.used_m or row.waste_m)


def _had_something(row: StoreRow) -> bool:
    metres = (row.opening_m, row.received_m, row.used_m, row.waste_m, row.corrected_m)
    return any(abs(value) > ROUNDING_M for value in metres)


def _measured(session: Session, event: Event, span: UsageSpan) -> set[int]:
    """The reels from which nothing went since they were last measured within the span."""

    def last(*kinds: str):
        return func.coalesce(func.max(case((ReelEntry.kind.in_(kinds), ReelEntry.id), else_=0)), 0)

    found = (
        select(ReelEntry.reel_id)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, span.within(ReelEntry.at))
        .group_by(ReelEntry.reel_id)
        .having(last("correction") > last("use", "waste", "received"))
    )
    return set(session.scalars(found))


def _reel_row(group: Sequence[StoreRow], measured: set[int]) -> ReelRow:
    first = group[0]
    return ReelRow(
        reel=_label(group),
        string=first.string_name,
        owner=first.owner_name or DESK,
        opening_m=metres_of(row.opening_m + row.received_m for row in group),
        used_m=metres_of(row.used_m for row in group),
        waste_m=metres_of(row.waste_m for row in group),
        closing_m=metres_of(row.left_m for row in group),
        measured=all(row.reel_id in measured for row in group),
        racquets=sum(row.racquets for row in group),
    )


def _label(group: Sequence[StoreRow]) -> str:
    if group[0].kind == LOOSE:
        return "with the racquet"
    if group[0].kind in SETS:
        word = "half set" if group[0].kind == HALF_SET else "set"
        return f"{len(group)} {word}{'' if len(group) == 1 else 's'}"
    return group[0].code


def metres_of(values: Iterable[float]) -> float:
    """Metres added up, to the centimetre."""
    return round(sum(values), 2) + 0.0


def orders(session: Session, event: Event, at: datetime) -> tuple[OrderRow, ...]:
    """What to order for the rest of the event as known at AT, the desk's own string only."""
    return tuple(
        row_of(OrderRow, row, string=row.string_name, expected_need_m=row.need_m, order_reels=row.order)
        for row in order_rows(session, event, at)
        if row.order
    )


def tension_rows(facts: Facts, done: Sequence[JobFact]) -> tuple[TensionRow, ...]:
    """Lowest, mean and highest tension asked for: of all, then of hybrids and of each material of the mains."""
    groups: dict[str, list[JobFact]] = {"all": list(done)}
    groups["hybrids"] = [job for job in done if job.bed.is_hybrid]
    by_material = grouped((material(facts, job.bed.mains.string_id), job) for job in done)
    if len(by_material) > 1:
        groups |= {f"mains of {name}": jobs for name, jobs in sorted(by_material.items())}
    return tuple(_tension_row(name, part, jobs) for name, jobs in groups.items() if jobs for part in HALVES)


def _tension_row(group: str, part: Half, jobs: Sequence[JobFact]) -> TensionRow:
    tensions = sorted((spoken(job.bed[part].tension, job.bed[part].unit) for job in jobs), key=lambda t: t.kg)
    mean_kg = fmean(tension.kg for tension in tensions)
    unit = Counter(tension.unit for tension in tensions).most_common(1)[0][0]
    return TensionRow(
        group=group,
        part=part,
        racquets=len(jobs),
        lowest=tensions[0],
        mean=Tension(value=mean_kg if unit == "kg" else mean_kg / KG_PER_LB, unit=unit),
        highest=tensions[-1],
    )


def material_rows(facts: Facts, done: Sequence[JobFact]) -> tuple[MaterialRow, ...]:
    """How many racquets had which materials; a hybrid has two different strings, if of one material."""
    pairs = grouped(((*(material(facts, half.string_id) for half in job.bed), job.bed.is_hybrid), job) for job in done)
    return tuple(
        MaterialRow(
            mains=mains,
            crosses=crosses,
            hybrid=hybrid,
            racquets=len(jobs),
            players=len({job.player_id for job in jobs}),
            string_m=metres_of(job.string_m for job in jobs),
        )
        for (mains, crosses, hybrid), jobs in sorted(pairs.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    )


def material(facts: Facts, string_id: int) -> str:
    return facts.strings[string_id].material.replace("_", " ")


def calibration_rows(
    session: Session, event: Event, span: UsageSpan, machines: Sequence[Machine], wall: Callable[[datetime], datetime]
) -> tuple[CalibrationRow, ...]:
    """Every reading within a span, in order; beside one outside the tolerance stands what was done about it."""
    found = (
        select(Calibration)
        .join(Machine, Machine.id == Calibration.machine_id)
        .where(Machine.event_id == event.id, span.within(Calibration.at))
        .order_by(Calibration.at, Machine.position, Calibration.id)
    )
    readings = session.scalars(found).all()
    by_id = {machine.id: machine for machine in machines}
    return tuple(
        CalibrationRow(
            machine=by_id[one.machine_id].name,
            read_at=wall(one.at),
            read_by=one.by,
            asked=spoken(one.reference, one.unit),
            measured=spoken(one.reading, one.unit),
            tolerance=Tension(value=one.tolerance_lb, unit="lb"),
            within=one.passed,
            action="" if one.passed else _action(one, readings, by_id[one.machine_id], wall),
        )
        for one in readings
    )


def _action(
    failed: Calibration, readings: Sequence[Calibration], machine: Machine, wall: Callable[[datetime], datetime]
) -> str:
    by_then = failed.at + SOON
    outages = [one for one in machine.outages if one.from_at <= by_then and said(one)[1] > failed.at]
    later = [one for one in readings if one.machine_id == machine.id and one.id > failed.id and one.at != failed.at]
    again = min((one for one in later if one.passed), key=lambda one: one.id, default=None)
    parts = [f"out of service: {outages[-1].reason}"] if outages else ["not used until it is within"]
    if again is not None:
        parts.append(f"read again at {wall(again.at):%H:%M}, within")
    return ", ".join(parts)
