"""Rehearsals in the records, and what came beside what was rehearsed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Reel, ReelEntry, Rehearsal, RehearsalRun
from exports.rehearsal.rehearsal_rows import RehearsalReport, RehearsedTeamRow, Spread, from_plain

FEWEST = 10
"""Racquets that must have come before the desk's own figures are held against a rehearsal."""


@dataclass(frozen=True, kw_only=True)
class BesideLine:
    """One figure of the desk beside the band that was rehearsed for it."""

    figure: str
    rehearsed: Spread
    true: float
    unit: str

    @property
    def inside(self) -> bool:
        """Whether the true figure lies in the band."""
        return self.rehearsed.low <= self.true <= self.rehearsed.high


def newest_rehearsal(session: Session, event: Event) -> tuple[Rehearsal, RehearsalReport] | None:
    """Return the newest rehearsal of an event with its report."""
    found = select(Rehearsal).where(Rehearsal.event_id == event.id).order_by(Rehearsal.id.desc()).limit(1)
    kept = session.scalar(found)
    return None if kept is None else (kept, from_plain(kept.report))


def newest_run(session: Session, event: Event) -> RehearsalRun | None:
    """Return the newest rehearsal that was asked for, on its way or over."""
    found = select(RehearsalRun).where(RehearsalRun.event_id == event.id).order_by(RehearsalRun.id.desc()).limit(1)
    return session.scalar(found)


def beside(session: Session, event: Event, report: RehearsalReport, team: RehearsedTeamRow) -> Sequence[BesideLine]:
    """Return the desk's own figures of the event so far beside the rehearsal's of the whole event."""
    jobs = session.scalars(select(Job).where(Job.event_id == event.id, Job.state != "cancelled")).all()
    if len(jobs) < FEWEST:
        return ()
    off_court = [job for job in jobs if not job.on_court and job.needed_by_at is not None]
    done = [job for job in off_court if job.finished_at is not None]
    late = sum(job.finished_at > job.needed_by_at for job in done) / max(1, len(done))
    from_court = [job for job in jobs if job.on_court and job.finished_at is not None and job.needed_by_at is not None]
    lines = [
        BesideLine(figure="Racquets", rehearsed=team.racquets, true=float(len(off_court)), unit=""),
        BesideLine(figure="Late", rehearsed=team.late_pct, true=100 * late, unit="%"),
    ]
    if from_court:
        slow = sum(job.finished_at > job.needed_by_at for job in from_court) / len(from_court)
        lines.append(BesideLine(figure="From court, late", rehearsed=team.on_court_late_pct, true=100 * slow, unit="%"))
    return [*lines, BesideLine(figure="String", rehearsed=_all_metres(report), true=_used(session, event), unit="m")]


def _all_metres(report: RehearsalReport) -> Spread:
    """The metres of all strings; the ends of the bands are added, which is wider than nine in ten."""
    ends = ("mean", "low", "high")
    return Spread(**{end: sum(getattr(row.metres, end) for row in report.strings) for end in ends})


def _used(session: Session, event: Event) -> float:
    found = (
        select(func.sum(-ReelEntry.metres))
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, ReelEntry.kind == "use")
    )
    return float(session.scalar(found) or 0.0)


def last_asked(session: Session, event: Event) -> dict[str, object]:
    """Return what was typed for the newest rehearsal that was asked for."""
    run, kept = newest_run(session, event), newest_rehearsal(session, event)
    if run is not None:
        return dict(run.asked)
    return {} if kept is None else dict(kept[0].asked)
