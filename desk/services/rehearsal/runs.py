"""Rehearsals in the records, on their way and as they were made.

Whoever plays one notes how far it is, whoever looks may stop it.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Rehearsal, RehearsalRun
from desk.services.acting import Acting, lock_and_find, lock_event, write_log
from exports.rehearsal.rehearsal_rows import RehearsalReport, as_plain
from solver.rehearsal import Progress

KEPT = 5
"""Rehearsals of one event that are kept, and runs; older ones go."""

STOPPED = "It was stopped. What was rehearsed before stands below."


def begin_run(session: Session, event_id: int, asked: dict[str, Any], *, acting: Acting) -> RehearsalRun:
    """Note that a rehearsal is asked for; refused while another one of the event is played."""
    event = lock_event(session, event_id)
    of_event = select(RehearsalRun.id).where(RehearsalRun.event_id == event.id)
    if session.scalar(of_event.where(RehearsalRun.is_over.is_(False)).limit(1)) is not None:
        raise Conflict("A rehearsal of this event is played already. Wait for it, or stop it first.")
    old = session.scalars(of_event.order_by(RehearsalRun.id.desc()).offset(KEPT - 1)).all()
    session.execute(delete(RehearsalRun).where(RehearsalRun.id.in_(old)))
    run = RehearsalRun(event_id=event.id, asked_at=acting.at, by=acting.by, asked=asked)
    session.add(run)
    session.flush()
    return run


def ask_to_stop(session: Session, event_id: int, run_id: int, *, plays: bool) -> None:
    """Ask whoever plays a rehearsal to stop; where nobody PLAYS it any more it is over at once."""
    _, run = lock_and_find(session, event_id, RehearsalRun, run_id, "rehearsal")
    if run.is_over:
        return
    run.stop_asked = True
    if not plays:
        run.is_over, run.trouble = True, STOPPED


def note_progress(session: Session, run_id: int, progress: Progress | None) -> bool:
    """Count one more beat, with how far the run is; tell whether it shall go on."""
    run = session.get(RehearsalRun, run_id)
    if run is None or run.is_over:
        return False
    run.beats += 1
    if progress is not None:
        run.done, run.of, run.seconds_left = progress.done, progress.of, progress.seconds_left
    return not run.stop_asked


def end_run(session: Session, run_id: int, trouble: str = "") -> None:
    """Note that a run is over, and what stood against it."""
    not_over = update(RehearsalRun).where(RehearsalRun.id == run_id, RehearsalRun.is_over.is_(False))
    session.execute(not_over.values(is_over=True, trouble=trouble))


def keep_rehearsal(
    session: Session, event_id: int, report: RehearsalReport, asked: dict[str, Any], *, acting: Acting
) -> Rehearsal:
    """Store a rehearsal."""
    event = lock_event(session, event_id)
    kept = Rehearsal(event_id=event_id, made_at=acting.at, by=acting.by, asked=asked, report=as_plain(report))
    session.add(kept)
    session.flush()
    newest = select(Rehearsal.id).where(Rehearsal.event_id == event_id).order_by(Rehearsal.id.desc()).limit(KEPT)
    old = set(session.scalars(select(Rehearsal.id).where(Rehearsal.event_id == event_id))) - set(
        session.scalars(newest)
    )
    session.execute(delete(Rehearsal).where(Rehearsal.id.in_(old)))
    write_log(session, event, acting, "event", f"Rehearsed {report.replications} times: {report.least_team}")
    return kept
