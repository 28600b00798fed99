"""Lines of the home screen on promises that break or bend, and on racquets that nobody works on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.queries.home.store_lines import HomeLine
from desk.queries.plan.plan_rows import PlanBoard
from desk.queries.plan.stranded import Stranded
from desk.queries.promise.bending import BendingPromise, bending_promises
from desk.queries.promise.promises import BreakingPromise, promises_about_to_break


def promise_lines(session: Session, event: Event, board: PlanBoard, at: datetime) -> Iterator[HomeLine]:
    """Return promises that break, then those that will more likely break than hold, then those that can be sooner.

    Each has the time that would be told now, where there is one.
    """
    bending = {row.job_id: row for row in bending_promises(session, event, at)}
    breaking = _breaking(session, event, board, at)
    for row in breaking:
        told = bending.get(row.job_id)
        yield replace(_breaks(row), job_id=row.job_id, tell_at=None if told is None else told.tell_at)
    broken = {row.job_id for row in breaking}
    yield from (_bends(board, row) for row in bending.values() if row.job_id not in broken)


def _breaking(session: Session, event: Event, board: PlanBoard, at: datetime) -> list[BreakingPromise]:
    """Return the promises about to break; the plan is read for what keeps them only when it breaks one."""
    blocks = [block for row in board.rows for block in row.blocks]
    running = session.scalars(select(Job.id).where(Job.event_id == event.id, Job.state == "on_machine"))
    breaks = any(block.broken_min for block in blocks)
    adrift = any(beside.state != "held" and beside.promised_at is not None for beside in board.beside)
    adrift = adrift or not set(running) <= {block.job_id for block in blocks}
    return promises_about_to_break(session, event, at) if breaks or adrift else []


def _breaks(row: BreakingPromise) -> HomeLine:
    return HomeLine(
        group="promise",
        at=row.promised_at,
        at_word="promised",
        name=row.player,
        text=row.to_keep,
        late_minutes=row.late_minutes,
        job_code=row.code,
    )


def _bends(board: PlanBoard, row: BendingPromise) -> HomeLine:
    likely = board.clock(row.likely_at)
    breaks = "can no longer be kept" if row.is_lost else "will more likely break than hold"
    text = "can be ready sooner than that." if row.is_sooner else f"{breaks}: likely {likely}."
    group = "sooner" if row.is_sooner else "promise"
    at, at_word = row.promised_at, "promised"
    if row.promised_at is None:
        group, at, at_word, text = "untold", row.likely_at, "likely", "is in the plan, and nobody was told a time."
    return HomeLine(
        group=group,
        at=at,
        at_word=at_word,
        name=row.player,
        text=f"Racquet {row.racquet_number} {text}",
        job_code=row.code,
        job_id=row.job_id,
        tell_at=row.tell_at,
    )


def stranded_line(one: Stranded) -> HomeLine:
    """Return a racquet that was begun and stands still, or is held half-strung: somebody says what becomes of it."""
    ways = "cut out and strung anew" if one.by_machine else "finished by another, or cut out"
    stands = f"held, {one.why}"
    if not one.is_held:
        ways = f"{ways.replace(', or', ',')}, or held"
        stands = f"on the machine, and {one.why}"
    text = f"Racquet {one.racquet_number} is {stands}: {ways}?"
    return HomeLine(group="stranded", at=one.since_at, at_word="begun", name=one.player, text=text, job_code=one.code)
