"""The string store: what is on each reel, what went from it, and its entries one by one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session, contains_eager, joinedload

from desk.models import Event, Job, Reel, ReelEntry, StringType
from desk.queries.row_making import grouped, row_of
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, OFFCUT_M, ROUNDING_M, SETS, Left, Stock


@dataclass(frozen=True, kw_only=True)
class ReelRow:
    """One reel or set: opening + received - used - waste + corrected = left, in metres."""

    reel_id: int
    code: str
    kind: str
    string_id: int
    string_code: str
    string_name: str
    gauge_mm: float | None
    colour: str
    material: str
    owner_id: int | None
    owner_name: str
    place: str
    opening_m: float
    received_m: float
    used_m: float
    waste_m: float
    corrected_m: float
    left_m: float
    racquets: int
    withdrawn_at: datetime | None
    price_minor: int | None = None

    @property
    def sets(self) -> float:
        """How many sets are left of it: 1, 0.5 for a half, 0 for a reel or where nothing is of use any more."""
        if self.kind not in SETS or not self.is_open or self.left_m < OFFCUT_M:
            return 0.0
        return 0.5 if self.kind == HALF_SET or self.used_m > ROUNDING_M else 1.0

    @property
    def kind_words(self) -> str:
        """What it is now: a set of which one half is strung is a half set."""
        return "half set" if self.kind == HALF_SET or self.sets == 0.5 else self.kind

    @property
    def is_open(self) -> bool:
        """Whether string can still be cut from it."""
        return self.withdrawn_at is None and self.left_m > ROUNDING_M


@dataclass(frozen=True, kw_only=True)
class EntryRow:
    """One entry of a reel, with what was left after it."""

    entry_id: int
    at: datetime
    by: str
    kind: str
    metres: float
    left_m: float
    job_code: str
    part: str | None
    measured: bool
    note: str


def string_label(string: StringType) -> str:
    """Return a string as it is spoken of: name, gauge, colour."""
    gauge = "" if string.gauge_mm is None else f" {string.gauge_mm:.2f}"
    return f"{string.name}{gauge}{' ' + string.colour if string.colour else ''}"


def balances(session: Session, reel_ids: list[int]) -> dict[int, float]:
    """Return metres left by reel: the sum of its entries."""
    found = (
        select(ReelEntry.reel_id, func.sum(ReelEntry.metres))
        .where(ReelEntry.reel_id.in_(reel_ids))
        .group_by(ReelEntry.reel_id)
    )
    sums = {reel_id: round(metres, 2) + 0.0 for reel_id, metres in session.execute(found)}
    return {reel_id: sums.get(reel_id, 0.0) for reel_id in reel_ids}


def reel_rows(
    session: Session,
    event: Event,
    *,
    with_withdrawn: bool = True,
    from_at: datetime | None = None,
    to_at: datetime | None = None,
) -> list[ReelRow]:
    """Return every reel and set, by string, for a span (all times when none is given).

    With `from_at`, what stood on the reel then is its opening and only later entries count apart;
    with `to_at`, entries from then on are left out.
    """
    sums = _sums(session, event, from_at, to_at)
    found = (
        select(Reel)
        .join(Reel.string_type)
        .options(contains_eager(Reel.string_type), joinedload(Reel.owner))
        .where(Reel.event_id == event.id)
        .order_by(StringType.name, StringType.code, Reel.kind, Reel.code)
    )
    if not with_withdrawn:
        found = found.where(Reel.withdrawn_at.is_(None))
    return [_reel_row(reel, sums.get(reel.id, {})) for reel in session.scalars(found)]


def _sums(
    session: Session, event: Event, from_at: datetime | None, to_at: datetime | None
) -> dict[int, dict[str, tuple[float, int]]]:
    kind = ReelEntry.kind
    if from_at is not None:
        kind = case((ReelEntry.at < from_at, "opening"), else_=ReelEntry.kind)
    # Uses of one job in two parts are one racquet; a use that was taken back sums to nothing and is none.
    metres = func.sum(ReelEntry.metres).label("metres")
    by_job = (
        select(ReelEntry.reel_id, kind.label("entry_kind"), ReelEntry.job_id, metres)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id)
        .group_by(ReelEntry.reel_id, "entry_kind", ReelEntry.job_id)
    )
    if to_at is not None:
        by_job = by_job.where(ReelEntry.at < to_at)
    part = by_job.subquery()
    racquet = case((part.c.job_id.is_not(None) & (part.c.metres < -ROUNDING_M), 1), else_=0)
    found = select(part.c.reel_id, part.c.entry_kind, func.sum(part.c.metres), func.sum(racquet)).group_by(
        part.c.reel_id, part.c.entry_kind
    )
    sums: dict[int, dict[str, tuple[float, int]]] = {}
    for reel_id, of_kind, total, racquets in session.execute(found):
        sums.setdefault(reel_id, {})[of_kind] = (total, int(racquets))
    return sums


def _reel_row(reel: Reel, sums: Mapping[str, tuple[float, int]]) -> ReelRow:
    def metres(kind: str) -> float:
        return round(sums.get(kind, (0.0, 0))[0], 2) + 0.0

    string = reel.string_type
    return row_of(
        ReelRow,
        reel,
        string,
        reel_id=reel.id,
        string_id=string.id,
        string_code=string.code,
        string_name=string_label(string),
        owner_name="" if reel.owner is None else reel.owner.called,
        opening_m=metres("opening"),
        received_m=metres("received"),
        used_m=0.0 - metres("use"),
        waste_m=0.0 - metres("waste"),
        corrected_m=metres("correction"),
        left_m=round(sum(total for total, _ in sums.values()), 2) + 0.0,
        racquets=sums.get("use", (0.0, 0))[1],
    )


def own_reels(session: Session, event: Event) -> dict[int, list[ReelRow]]:
    """Return the desk's own reels and sets by string."""
    return grouped((row.string_id, row) for row in reel_rows(session, event) if row.owner_id is None)


def sets_left(rows: Iterable[ReelRow]) -> list[tuple[str, int, int]]:
    """Return (string, whole sets, half sets) of the desk's own that are left, by string."""
    found = grouped((row.string_name, row.sets) for row in rows if row.owner_id is None and row.sets)
    return [(name, sets.count(1.0), sets.count(0.5)) for name, sets in sorted(found.items())]


def entry_rows(session: Session, reel_id: int) -> list[EntryRow]:
    """Return the entries of one reel in the order in which they were written."""
    found = (
        select(ReelEntry, Job.code)
        .outerjoin(Job, Job.id == ReelEntry.job_id)
        .where(ReelEntry.reel_id == reel_id)
        .order_by(ReelEntry.id)
    )
    rows, left = [], 0.0
    for entry, job_code in session.execute(found):
        left = round(left + entry.metres, 2) + 0.0
        rows.append(row_of(EntryRow, entry, entry_id=entry.id, left_m=left, job_code=job_code or ""))
    return rows


def load_stock(session: Session, event: Event) -> Stock:
    """Return what is left on the open reels of the event, in one statement.

    A store without a single reel or set of the desk is not kept: then nothing is ever missing.
    """
    left = select(ReelEntry.reel_id, func.sum(ReelEntry.metres).label("metres")).group_by(ReelEntry.reel_id).subquery()
    found = (
        select(Reel.id, Reel.code, Reel.kind, Reel.string_type_id, Reel.owner_id, Reel.withdrawn_at)
        .add_columns(func.coalesce(left.c.metres, 0.0))
        .outerjoin(left, left.c.reel_id == Reel.id)
        .where(Reel.event_id == event.id, Reel.kind != LOOSE)
    )
    stock = Stock(kept=False)
    for reel_id, code, kind, string_id, owner_id, withdrawn_at, left_m in session.execute(found):
        stock.kept = stock.kept or owner_id is None
        if withdrawn_at is None:
            stock.reels[reel_id] = Left(
                reel_id=reel_id,
                code=code,
                kind=kind,
                string_id=string_id,
                owner_id=owner_id,
                left_m=round(left_m, 2) + 0.0,
            )
    return stock
