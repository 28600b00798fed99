"""Looking ahead with the plan: when each reel runs out, and which racquets cannot be strung."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Row, case, func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Assignment, Event, Frame, Job, JobCard, Machine, Player, Racquet, StringType
from desk.queries.row_making import row_of
from desk.queries.string.lengths import CardLike, event_factors, need_of
from desk.queries.string.sold import sold_as
from desk.queries.string.store import ReelRow, load_stock, reel_rows, string_label
from desk.trade.racquet.reel_choice import BED, MISSING, MISSING_WORDS, ROUNDING_M, Cut, Left, Need, Shortage, Stock
from desk.trade.racquet.set_count import Later, Sold
from desk.trade.racquet.string_length import LengthFactors


@dataclass(frozen=True, kw_only=True)
class OpenNeed:
    """An open job with the string it needs, and when the plan begins it (None: no place in the plan)."""

    job_id: int
    job_code: str
    state: str
    player_name: str
    planned_at: datetime | None
    held_reason: str
    need: Need


@dataclass(frozen=True, kw_only=True)
class ReelForecast:
    """What the plan takes from one reel.

    `runs_out_at` is when the racquet is begun after which the reel has too little for another like
    it; None when that does not come, or when the plan does not say. `then` is the reel that takes over,
    empty where none of the same string and owner has enough for that racquet.
    """

    reel_id: int
    code: str
    kind: str
    string_name: str
    owner_name: str
    left_m: float
    planned_m: float
    racquets: int
    left_after_m: float
    runs_out: bool
    runs_out_at: datetime | None
    runs_out_with: str
    then: str


@dataclass(frozen=True, kw_only=True)
class CannotString:
    """An open job for which no reel has enough string left, with the reason."""

    job_id: int
    job_code: str
    state: str
    player_name: str
    planned_at: datetime | None
    string_name: str
    part: str
    need_m: float
    longest_m: float
    own_string: bool
    sold: Sold

    @property
    def wanted(self) -> Later:
        """What it lacks, in halves of beds and metres."""
        return Later(halves=2 if self.part == BED else 1, metres=self.need_m)

    @property
    def reason(self) -> str:
        whose = "the player's own reels" if self.own_string else "the desk's reels"
        return (
            f"{self.job_code} cannot be strung: its {self.part} need {self.need_m:g} m of {self.string_name}, "
            f"and the longest piece left on {whose} then is {self.longest_m:g} m."
        )


@dataclass(frozen=True, kw_only=True)
class Foresight:
    """The store at the end of the plan; `can_be_released` lists racquets held for string that the records have now."""

    reels: tuple[ReelForecast, ...]
    cannot_string: tuple[CannotString, ...]
    can_be_released: tuple[OpenNeed, ...]


def open_needs(
    session: Session, event: Event, factors: LengthFactors, *, of_strings: Collection[int] | None = None
) -> list[OpenNeed]:
    """Return open jobs in the order in which they take string: on the machine, planned, waiting, held.

    With `of_strings`, only those that take one of these strings.
    """
    of_job = (Job.id, Job.code, Job.state, Job.player_id, Job.started_at, Job.held_reason)
    rank = case((Job.state == "on_machine", 0), (Job.state == "held", 3), (Assignment.id.is_not(None), 1), else_=2)
    begins = func.coalesce(Job.started_at, Assignment.start_at, Job.needed_by_at)
    planned = (Assignment.job_id == Job.id) & (Assignment.run_id == event.current_run_id)
    found = (
        select(*of_job, JobCard, Player.called, Frame, Assignment.start_at, Machine.reach_cm)
        .select_from(Job)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .outerjoin(Assignment, planned)
        .outerjoin(Machine, Machine.id == func.coalesce(Job.machine_id, Assignment.machine_id))
        .where(Job.event_id == event.id, Job.state.in_(OPEN_STATES))
        .order_by(rank, begins.is_(None), begins, Job.serial)
    )
    if of_strings is not None:
        found = found.where(JobCard.mains_string_id.in_(of_strings) | JobCard.crosses_string_id.in_(of_strings))
    return [_open_need(row, factors) for row in session.execute(found)]


def _open_need(row: Row, factors: LengthFactors) -> OpenNeed:
    return OpenNeed(
        job_id=row.id,
        job_code=row.code,
        state=row.state,
        player_name=row.called,
        planned_at=row.started_at if row.state == "on_machine" else row.start_at,
        held_reason=row.held_reason,
        need=need_of(row.JobCard, row.Frame, player_id=row.player_id, factors=factors, reach_cm=row.reach_cm),
    )


def foresee(session: Session, event: Event) -> Foresight:
    """Return when each reel runs out under the plan in force, and what cannot be strung from the store."""
    stock = load_stock(session, event)
    names = {
        string.id: string_label(string)
        for string in session.scalars(select(StringType).where(StringType.event_id == event.id))
    }
    rows = reel_rows(session, event)
    shelves: dict[tuple[int, bool], list[ReelRow]] = defaultdict(list)
    for row in rows:
        shelves[row.string_id, row.owner_id is not None].append(row)
    taken: dict[int, _Taken] = {}
    cannot: list[CannotString] = []
    released: list[OpenNeed] = []
    for job in open_needs(session, event, event_factors(session, event)):
        cuts = stock.take(job.need)
        if isinstance(cuts, Shortage):
            sold = sold_as(shelves[cuts.string_id, cuts.own])
            about = {"string_name": names[cuts.string_id], "own_string": cuts.own, "sold": sold}
            cannot.append(row_of(CannotString, job, cuts, **about))
            continue
        if job.held_reason.startswith(MISSING_WORDS):
            released.append(job)
        for cut in cuts:
            if cut.reel_id is not None:
                taken.setdefault(cut.reel_id, _Taken()).add(job, cut, stock.reels[cut.reel_id], stock)
    here = [row for row in rows if row.reel_id in stock.reels and row.is_open]
    return Foresight(
        reels=tuple(_forecast(row, taken.get(row.reel_id, _Taken())) for row in here),
        cannot_string=tuple(cannot),
        can_be_released=tuple(released),
    )


class _Taken:
    """What open jobs take from one reel."""

    def __init__(self) -> None:
        self.metres = 0.0
        self.jobs: list[str] = []
        self.out: OpenNeed | None = None
        self.then = ""

    def add(self, job: OpenNeed, cut: Cut, reel: Left, stock: Stock) -> None:
        self.metres += cut.metres + cut.offcut_m
        if job.job_code not in self.jobs:
            self.jobs.append(job.job_code)
        alike = job.need.total_m if job.need.bed.is_one_string else cut.metres
        if self.out is None and reel.left_m + ROUNDING_M < alike:
            others = stock.of(reel.string_id, reel.owner_id)
            self.out = job
            self.then = next((one.code for one in others if one.left_m + ROUNDING_M >= alike), "")


def _forecast(row: ReelRow, taken: _Taken) -> ReelForecast:
    return row_of(
        ReelForecast,
        row,
        kind=row.kind_words,
        planned_m=round(taken.metres, 2),
        racquets=len(taken.jobs),
        left_after_m=round(row.left_m - taken.metres, 2) + 0.0,
        runs_out=taken.out is not None,
        runs_out_at=None if taken.out is None else taken.out.planned_at,
        runs_out_with="" if taken.out is None else taken.out.job_code,
        then=taken.then,
    )


def string_missing(
    session: Session, event: Event, asked: Sequence[tuple[CardLike, Frame]], *, player_id: int = 0
) -> list[str | None]:
    """Return for each racquet asked for why it cannot be strung, or None; nothing is booked.

    What waits already is cut first, in the order of the plan, then the racquets asked for, one
    after the other. A player's own string is missing only when it is kept on a reel that runs out.
    """
    stock, factors = load_stock(session, event), event_factors(session, event)
    strings = set().union(*(card.bed.string_ids for card, _ in asked))
    for waiting in open_needs(session, event, factors, of_strings=strings):
        stock.take(waiting.need)
    reasons: list[str | None] = []
    for card, frame in asked:
        found = stock.take(need_of(card, frame, player_id=player_id, factors=factors))
        reasons.append(_missing(session, found) if isinstance(found, Shortage) else None)
    return reasons


def _missing(session: Session, short: Shortage) -> str:
    string = string_label(session.get_one(StringType, short.string_id))
    whose = "the player's own reels" if short.own else "the desk's reels"
    if short.left_m <= ROUNDING_M:
        left = f"none is left on {whose}"
    else:
        left = f"{short.longest_m:g} m is the longest piece left on {whose}"
    return (
        f"{MISSING}the {short.part} need {short.need_m:g} m of {string}, and after the racquets that wait "
        f"{left}. Receive string or choose another."
    )
