"""House minutes and paces as the event's finished jobs teach them, with the lead's own figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

from sqlalchemy import ColumnElement, exists, or_, select
from sqlalchemy.orm import Session, aliased

from desk.models import Event, Frame, HouseTime, Job, JobCard, Racquet, StateChange, Stringer, StringType
from desk.queries.finding import find_of
from desk.queries.row_making import kept
from desk.trade.bench.bench_time import DENSE, OPEN, BenchCard, FinishedJob, HouseRow, HouseTable, Material
from desk.trade.bench.pace import Pace, learn, learned_spread
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.string_length import Pattern

NEWEST_JOBS = 1000
"""Finished jobs that are learned from; older ones say little of today's team."""

HOUSE_KEYS = tuple(
    "".join(parts) for parts in product(("open", "medium", "dense"), ("", ", half gut", ", gut"), ("", ", on court"))
)
"""Every row of the table of house minutes."""

MATERIALS: dict[str, Material] = {
    "polyester": "polyester",
    "nylon_multifilament": "multifilament",
    "nylon_monofilament": "monofilament",
    "natural_gut": "natural gut",
    "aramid": "aramid",
    "other": "other",
}
_OF_KEY = {"open": OPEN, "medium": Pattern(16, 20), "dense": DENSE}


@dataclass(frozen=True, kw_only=True)
class Learned:
    """The table of house minutes, each stringer's pace by the stringer's id, and how far bench times spread."""

    table: HouseTable
    paces: Mapping[int, Pace]
    spread_per_cent: int


@dataclass(frozen=True, kw_only=True)
class HouseLine:
    """A row of the table: `minutes` is what the plan uses, `default` and `learned` what it would be without."""

    key: str
    default: int
    learned: int
    overruled: int | None
    minutes: int
    jobs: int


@dataclass(frozen=True, kw_only=True)
class PaceLine:
    """A stringer's pace in per cent of house time."""

    stringer_id: int
    name: str
    entered: int
    learned: int
    overruled: int | None
    pace: int
    jobs: int


def learned_times(session: Session, event: Event) -> Learned:
    """Return what the event's finished jobs teach; read once in a session for each change of the event."""
    return kept(session, ("bench times", event.id), event.change_number, lambda: _learn(session, event))


def house_lines(session: Session, event: Event) -> list[HouseLine]:
    """Return the table of house minutes, every row of it, with the number of jobs behind each."""
    table = learned_times(session, event).table
    learned = {key: HouseRow(row.factor, row.n) for key, row in table.rows.items()}
    bare, default = HouseTable(table.defaults, learned), HouseTable(table.defaults)
    lines = []
    for key in HOUSE_KEYS:
        row, card = table.rows.get(key, HouseRow()), card_of_key(key)
        lines.append(
            HouseLine(
                key=key,
                default=default.minutes(card),
                learned=bare.minutes(card),
                overruled=None if row.overruled_min is None else round(row.overruled_min),
                minutes=table.minutes(card),
                jobs=row.n,
            )
        )
    return lines


def pace_lines(session: Session, event: Event) -> list[PaceLine]:
    """Return everybody's pace with the number of jobs behind it, in the desk's order."""
    paces = learned_times(session, event).paces
    people = session.scalars(
        select(Stringer).where(Stringer.event_id == event.id).order_by(Stringer.position, Stringer.id)
    )
    found = [(one, paces.get(one.id, Pace())) for one in people]
    return [
        PaceLine(
            stringer_id=one.id,
            name=one.name,
            entered=one.pace_entered,
            learned=pace.learned,
            overruled=one.pace_override,
            pace=one.pace_override or pace.learned,
            jobs=pace.n,
        )
        for one, pace in found
    ]


def card_of_key(key: str) -> BenchCard:
    """Return a plain card that belongs to a row of the table."""
    pattern, *rest = key.split(", ")
    mains: Material = "natural gut" if "gut" in rest or "half gut" in rest else "polyester"
    crosses: Material = "natural gut" if "gut" in rest else "polyester"
    return BenchCard(pattern=_OF_KEY[pattern], materials=Bed(mains, crosses), on_court="on court" in rest)


def bench_card(card: Any, frame: Frame, materials: Bed[str], *, on_court: bool) -> BenchCard:
    """Return what of a job card, stored or not yet, makes it quick or slow; MATERIALS are those of the records."""
    halves = (half.pre_stretch for half in card.bed)
    return _bench_card(
        frame.mains, frame.crosses, *materials, on_court, card.pieces, any(halves), card.stencil, card.extra_work
    )


@lru_cache(maxsize=4096)
def _bench_card(
    mains: int, crosses: int, of_mains: str, of_crosses: str, on_court: bool, pieces: int, prestretch: bool,
    stencil: str, extra_work: str,
) -> BenchCard:  # fmt: skip
    works = extra_work.split("_and_")
    return BenchCard(
        pattern=Pattern(mains, crosses),
        materials=Bed(MATERIALS.get(of_mains, "other"), MATERIALS.get(of_crosses, "other")),
        pieces=pieces,
        prestretch=prestretch,
        stencil=bool(stencil.strip()),
        grommets="grommets" in works,
        grip="grip" in works,
        overgrip="overgrip" in works,
        on_court=on_court,
    )


def _learn(session: Session, event: Event) -> Learned:
    overruled = session.scalars(select(HouseTime).where(HouseTime.event_id == event.id))
    rows = {one.key: HouseRow(overruled_min=one.minutes) for one in overruled}
    of_pace = (Stringer.id, Stringer.pace_override, Stringer.pace_entered)
    people = session.execute(select(*of_pace).where(Stringer.event_id == event.id)).all()
    own = {str(row.id): row.pace_override for row in people if row.pace_override is not None}
    entered = {str(row.id): row.pace_entered for row in people}
    finished = _finished_jobs(session, event)
    table, paces = learn(finished, HouseTable(rows=rows), own, entered)
    spread = learned_spread(finished, table, paces)
    return Learned(table=table, paces={int(key): pace for key, pace in paces.items()}, spread_per_cent=spread)


def _was_interrupted() -> ColumnElement[bool]:
    """Tell whether a racquet went on after it was begun, by another hand or after a rest: its minutes are nobody's."""
    goes_on = (StateChange.to_state == "on_machine") & StateChange.from_state.in_(("on_machine", "held"))
    return exists().where(StateChange.job_id == Job.id, goes_on)


def _finished_jobs(session: Session, event: Event) -> list[FinishedJob]:
    mains, crosses = aliased(StringType), aliased(StringType)
    of_card = (Frame.mains, Frame.crosses, mains.material, crosses.material, Job.on_court, JobCard.pieces)
    stretched = or_(JobCard.mains_pre_stretch > 0, JobCard.crosses_pre_stretch > 0)
    found = (
        select(
            Job.stringer_id, Job.started_at, Job.finished_at, *of_card, stretched, JobCard.stencil, JobCard.extra_work
        )
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .join(mains, mains.id == JobCard.mains_string_id)
        .join(crosses, crosses.id == JobCard.crosses_string_id)
        .where(
            Job.event_id == event.id,
            Job.stringer_id.is_not(None),
            Job.started_at.is_not(None),
            Job.finished_at > Job.started_at,
            ~_was_interrupted(),
        )
        .order_by(Job.finished_at.desc())
        .limit(NEWEST_JOBS)
    )
    return [
        FinishedJob(_bench_card(*card), str(stringer_id), (finished_at - started_at).total_seconds() / 60)
        for stringer_id, started_at, finished_at, *card in session.execute(found)
    ]


def house_minutes(session: Session, event: Event, card: Any, frame: Frame, *, on_court: bool = False) -> int:
    """Return the minutes at pace 100 of a job, from its card (stored or not yet) and its frame."""
    materials = card.bed.map(lambda half: find_of(session, event, StringType, half.string_id, "string").material)
    asked = bench_card(card, frame, materials, on_court=on_court)
    return learned_times(session, event).table.minutes(asked)
