"""What one bench shows: the racquet on the machine or next, two more, the reels, the last touch."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import Row, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Assignment, Event, Frame, Job, JobCard, Machine, Racquet, StateChange, Stringer
from desk.queries.bench.sisters import sisters_of
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.event.events import stringer_names
from desk.queries.row_making import row_of
from desk.queries.string.lengths import event_factors, need_of
from desk.queries.string.store import load_stock
from desk.trade.racquet.bed import Bed, Half
from desk.trade.racquet.reel_choice import Left

SHOWN_NEXT = 3
UNDO_NOTE = "undone"
UNDOABLE = ("on_machine", "strung", "held")


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A card with its place in the plan; times are empty where it has none."""

    card: CardView
    machine_id: int | None
    start_at: datetime | None
    end_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class HalfReels:
    """Metres that a half takes by computation, and the reels it may be cut from."""

    metres: float
    reels: tuple[Left, ...]


@dataclass(frozen=True, kw_only=True)
class LastTouch:
    """The newest change at this bench that can be taken back."""

    change_id: int
    job_id: int
    code: str
    to_state: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Bench:
    """One stringer's bench; `current` is on the machine, else `upcoming[0]` is the next card.

    `sisters` are code and stiffness of the racquets that `current` is to be like.
    """

    stringer: Stringer
    machines: tuple[tuple[int, str], ...]
    current: CardView | None
    upcoming: tuple[Slot, ...]
    reels: Bed[HalfReels] | None
    last: LastTouch | None
    sisters: tuple[tuple[str, Decimal], ...] = ()

    @property
    def machine_names(self) -> dict[int, str]:
        return dict(self.machines)


def bench(session: Session, event: Event, stringer: Stringer, *, first_job_id: int | None = None) -> Bench:
    """Return the bench of one stringer; FIRST_JOB_ID names a waiting job to show before the plan's."""
    running = card_views(
        session, Job.event_id == event.id, Job.stringer_id == stringer.id, Job.state == "on_machine", limit=1
    )
    current = running[0] if running else None
    upcoming = _upcoming(session, event, stringer, first_job_id)
    shown = current or (upcoming[0].card if upcoming else None)
    return Bench(
        stringer=stringer,
        machines=machines(session, event),
        current=current,
        upcoming=tuple(upcoming),
        reels=_reels(session, event, shown) if shown else None,
        last=_last_touch(session, event, stringer),
        sisters=() if current is None else tuple(sisters_of(session, event, session.get_one(Job, current.job_id))),
    )


def machines(session: Session, event: Event) -> tuple[tuple[int, str], ...]:
    """Return (id, name) of the event's machines, in the desk's order."""
    found = select(Machine.id, Machine.name).where(Machine.event_id == event.id)
    return tuple((row.id, row.name) for row in session.execute(found.order_by(Machine.position, Machine.id)))


def _upcoming(session: Session, event: Event, stringer: Stringer, first_job_id: int | None) -> list[Slot]:
    planned = (
        select(Assignment.job_id, Assignment.machine_id, Assignment.start_at, Assignment.end_at)
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Assignment.stringer_id == stringer.id)
        .where(Job.state == "waiting")
        .order_by(Assignment.start_at, Assignment.id)
        .limit(SHOWN_NEXT)
    )
    places = {row.job_id: row for row in session.execute(planned)}
    wanted = [first_job_id] if first_job_id and first_job_id not in places else []
    here = (Job.event_id == event.id, Job.state == "waiting", Job.id.in_([*wanted, *places]))
    cards = {card.job_id: card for card in card_views(session, *here)}
    order = sorted([*wanted, *places], key=lambda job_id: job_id != first_job_id)
    return [_slot(cards[job_id], places.get(job_id), stringer) for job_id in order if job_id in cards]


def _slot(card: CardView, place: Row | None, stringer: Stringer) -> Slot:
    if place is None:
        return Slot(card=card, machine_id=stringer.home_machine_id, start_at=None, end_at=None)
    return row_of(Slot, place, card=card)


def _reels(session: Session, event: Event, card: CardView) -> Bed[HalfReels]:
    row = session.execute(
        select(JobCard, Frame)
        .join(Job, Job.id == JobCard.job_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .where(JobCard.job_id == card.job_id)
    ).one()
    need = need_of(*row, player_id=card.player_id, factors=event_factors(session, event))
    stock = load_stock(session, event)

    def reels(half: Half) -> HalfReels:
        found = stock.of(need.bed[half].string_id, need.owner_of(half))
        return HalfReels(metres=need.bed[half].metres, reels=tuple(found))

    return Bed.of(reels)


def _last_touch(session: Session, event: Event, stringer: Stringer) -> LastTouch | None:
    found = (
        select(StateChange, Job.code, Job.state)
        .join(Job, Job.id == StateChange.job_id)
        .where(Job.event_id == event.id, Job.stringer_id == stringer.id)
        .order_by(StateChange.id.desc())
        .limit(1)
    )
    row = session.execute(found).first()
    if row is None:
        return None
    change, code, state = row
    if change.note == UNDO_NOTE or change.to_state not in UNDOABLE or change.to_state != state:
        return None
    return row_of(LastTouch, change, change_id=change.id, code=code)


@dataclass(frozen=True, kw_only=True)
class BenchLine:
    """One stringer on the list of benches: what is on the machine, or what comes next."""

    stringer_id: int
    stringer: str
    running: CardView | None
    waiting: int


def bench_lines(session: Session, event: Event) -> list[BenchLine]:
    """Return every stringer of the event with what they do now, in three statements."""
    running = {
        card.stringer_id: card for card in card_views(session, Job.event_id == event.id, Job.state == "on_machine")
    }
    planned = (
        select(Assignment.stringer_id)
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Job.state.in_(OPEN_STATES), Job.state != "on_machine")
    )
    waiting = list(session.scalars(planned))
    return [
        BenchLine(stringer_id=row_id, stringer=name, running=running.get(row_id), waiting=waiting.count(row_id))
        for row_id, name in stringer_names(session, event.id)
    ]
