"""The list of mishaps, each with what its racquet was strung from and what may have the same fault."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import and_, distinct, func, select
from sqlalchemy.orm import Session, joinedload

from desk.models import Calibration, Event, Job, Machine, Mishap, Player, Reel, ReelEntry, StateChange, Stringer
from desk.queries.event.events import names_by_id
from desk.queries.row_making import grouped, row_of
from desk.trade.mishaps import KINDS, OFTEN


@dataclass(frozen=True, kw_only=True)
class MishapLine:
    """One mishap; `sisters` are other racquets cut from the same reels, as (code, player)."""

    id: int
    words: str
    note: str
    at: datetime
    by: str
    code: str
    player: str
    racquet: int
    strung_at: datetime | None
    stringer: str
    machine: str
    reels: tuple[str, ...]
    calibration: str
    sisters: tuple[tuple[str, str], ...]
    again_code: str
    done: str
    closed_at: datetime | None
    closed_by: str


def mishap_lines(session: Session, event: Event, *, job_id: int | None = None) -> list[MishapLine]:
    """Return the mishaps, those that are open first, the newest first; of one job where it is given."""
    found = select(Mishap).where(Mishap.event_id == event.id)
    found = found.order_by(Mishap.closed_at.is_not(None), Mishap.id.desc())
    found = found.options(joinedload(Mishap.job).joinedload(Job.player), joinedload(Mishap.again))
    if job_id is not None:
        found = found.where((Mishap.job_id == job_id) | (Mishap.again_id == job_id))
    rows = session.scalars(found).all()
    about = _About(session, event, rows)
    return [about.line(row) for row in rows]


def open_mishaps(session: Session, event: Event) -> int:
    """Return how many wait for somebody."""
    found = select(func.count(Mishap.id)).where(Mishap.event_id == event.id, Mishap.closed_at.is_(None))
    return session.scalar(found) or 0


def open_words(session: Session, event: Event) -> list[str]:
    """Return what went wrong and is open, each with its tag, the oldest first."""
    found = select(Job.code, Mishap.kind).join(Job, Job.id == Mishap.job_id).order_by(Mishap.id)
    rows = session.execute(found.where(Mishap.event_id == event.id, Mishap.closed_at.is_(None)))
    return [f"{code}: {KINDS[kind].words[0].lower()}{KINDS[kind].words[1:]}" for code, kind in rows]


def breaks_of_reel(session: Session, reel_id: int) -> int:
    """Return how many racquets cut from a reel broke; from `OFTEN` on the reel is worth a warning."""
    cut = select(ReelEntry.job_id).where(ReelEntry.reel_id == reel_id, ReelEntry.kind == "use")
    found = select(func.count(distinct(Mishap.job_id))).where(Mishap.kind == "string_broke", Mishap.job_id.in_(cut))
    return session.scalar(found) or 0


def breaking_often(session: Session, event: Event) -> set[int]:
    """Return the reels of which so many racquets broke that they are worth a warning."""
    found = (
        select(ReelEntry.reel_id)
        .join(Mishap, Mishap.job_id == ReelEntry.job_id)
        .where(Mishap.event_id == event.id, Mishap.kind == "string_broke", ReelEntry.kind == "use")
        .group_by(ReelEntry.reel_id)
        .having(func.count(distinct(Mishap.job_id)) >= OFTEN)
    )
    return set(session.scalars(found))


def breaks_often(breaks: int) -> bool:
    return breaks >= OFTEN


class _About:
    """What the records say around several mishaps, in a fixed number of statements."""

    def __init__(self, session: Session, event: Event, rows: Sequence[Mishap]) -> None:
        jobs = [row.job_id for row in rows]
        self.names = names_by_id(session, event, Stringer)
        self.machines = names_by_id(session, event, Machine)
        cuts = session.execute(
            select(ReelEntry.job_id, Reel.id, Reel.code)
            .join(Reel, Reel.id == ReelEntry.reel_id)
            .where(ReelEntry.kind == "use", ReelEntry.job_id.in_(jobs))
        ).all()
        self.reels: dict[int, dict[int, str]] = defaultdict(dict)
        for job_id, reel_id, code in cuts:
            self.reels[job_id][reel_id] = code
        self.sisters = self._sisters(session, {reel_id for _, reel_id, _ in cuts})
        self.readings = self._readings(session, {row.job.machine_id for row in rows if row.job.machine_id})
        self.begun = self._begun(session, jobs)

    @staticmethod
    def _sisters(session: Session, reel_ids: set[int]) -> dict[int, list[tuple[int, str, str]]]:
        found = (
            select(ReelEntry.reel_id, Job.id, Job.code, Player.called)
            .join(Job, Job.id == ReelEntry.job_id)
            .join(Player, Player.id == Job.player_id)
            .where(ReelEntry.reel_id.in_(reel_ids), ReelEntry.kind == "use", Job.state.in_(("strung", "handed_over")))
            .order_by(Job.finished_at.desc())
        )
        cut: dict[int, list[tuple[int, str, str]]] = defaultdict(list)
        for reel_id, job_id, code, name in session.execute(found):
            if all(job_id != before for before, *_ in cut[reel_id]):
                cut[reel_id].append((job_id, code, name))
        return cut

    @staticmethod
    def _begun(session: Session, jobs: Sequence[int]) -> dict[int, int]:
        """Return the change by which each racquet was begun last; no finish taken back and no handing on."""
        begun = and_(StateChange.to_state == "on_machine", StateChange.from_state == "waiting")
        found = select(StateChange.job_id, func.max(StateChange.id)).where(StateChange.job_id.in_(jobs), begun)
        return dict(session.execute(found.group_by(StateChange.job_id)).all())

    @staticmethod
    def _readings(session: Session, machine_ids: set[int]) -> dict[int, list[Calibration]]:
        found = select(Calibration).where(Calibration.machine_id.in_(machine_ids)).order_by(Calibration.id)
        return grouped((one.machine_id, one) for one in session.scalars(found))

    def line(self, row: Mishap) -> MishapLine:
        job, reels = row.job, self.reels.get(row.job_id, {})
        cut = [one for reel in reels for one in self.sisters[reel]]
        others = dict.fromkeys((code, name) for other, code, name in cut if other != job.id)
        return row_of(
            MishapLine,
            row,
            words=KINDS[row.kind].words,
            code=job.code,
            player=job.player.called,
            racquet=job.racquet.number,
            strung_at=job.finished_at,
            stringer=self.names.get(job.stringer_id or 0, ""),
            machine=self.machines.get(job.machine_id or 0, ""),
            reels=tuple(reels.values()),
            calibration=self._calibration(job),
            sisters=tuple(others),
            again_code=row.again.code if row.again else "",
        )

    def _calibration(self, job: Job) -> str:
        """Say how the machine read last before the racquet was strung."""
        readings = self.readings.get(job.machine_id or 0, [])
        before = [one for one in readings if (one.after_change_id or 0) < self.begun.get(job.id, 0)]
        if not before:
            return ""
        last = before[-1]
        word = "within the tolerance" if last.passed else "outside the tolerance"
        return f"set {last.reference.normalize():f} {last.unit}, read {last.reading.normalize():f} {last.unit}, {word}"
