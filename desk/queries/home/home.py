"""What needs somebody now, each with where it is mended; nothing that runs by itself is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from desk.models import Event
from desk.queries.counter.pickup import uncollected
from desk.queries.home.promise_lines import promise_lines, stranded_line
from desk.queries.home.store_lines import (
    HomeLine,
    care_lines,
    expected_line,
    machine_lines,
    mishap_lines_of,
    pickup_lines,
    reading_line,
    shortage_line,
    shortages,
    string_lines,
    word_lines_of,
)
from desk.queries.machines.machines import machine_rows
from desk.queries.machines.readings_due import readings_due
from desk.queries.machines.wear import wear_rows
from desk.queries.mishaps.mishaps import open_mishaps
from desk.queries.plan.expected_ends import Overdue, overdue
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.plan_rows import BEING_PLANNED, Beside, Block, PlanBoard
from desk.queries.plan.stranded import stranded
from desk.queries.string.foresight import foresee
from desk.queries.word.words import troubled_words

LINES_A_GROUP = 6
URGENT_WITHIN = timedelta(minutes=45)
GROUPS = (
    *("stranded", "reading", "expected", "mishap", "court", "late", "promise", "untold", "sooner"),
    *("urgent", "held", "string", "machine", "care", "word", "pickup"),
)


@dataclass(frozen=True, kw_only=True)
class HomeGroup:
    """Lines of one kind, the most pressing first; `more` counts those that are not shown."""

    key: str
    lines: tuple[HomeLine, ...]
    more: int

    @property
    def total(self) -> int:
        return len(self.lines) + self.more


@dataclass(frozen=True, kw_only=True)
class Home:
    """Everything that needs somebody, and the next promise for when nothing does."""

    groups: tuple[HomeGroup, ...]
    next_promise: HomeLine | None
    is_current: bool

    @property
    def total(self) -> int:
        return sum(group.total for group in self.groups)


def home(session: Session, event: Event, at: datetime) -> Home:
    """Return what needs somebody at AT; the number of SQL statements is fixed."""
    board, ahead = plan_board(session, event, at), foresee(session, event)
    unheard = overdue(session, event, at)
    short = shortages(ahead)
    lines = _once(
        [
            *map(stranded_line, stranded(session, event, at)),
            *_court(board),
            *_late(board),
            *promise_lines(session, event, board, at),
            *_urgent(board, at),
            *_held(board, waiting_for_string={job.job_code for jobs in short for job in jobs}),
            *map(shortage_line, short),
            *string_lines(ahead),
            *machine_lines(machine_rows(session, event, at, readings=0)),
            *reading_line(readings_due(session, event, at), board),
            *(expected_line(one, late_with(board, one), board.clock(one.counted_at)) for one in unheard),
            *care_lines(wear_rows(session, event)),
            *mishap_lines_of(open_mishaps(session, event)),
            *word_lines_of(troubled_words(session, event)),
            *pickup_lines(uncollected(session, event), at, event.kind),
        ]
    )
    found = {key: [line for line in lines if line.group == key] for key in GROUPS}
    return Home(
        groups=tuple(_group(key, found[key]) for key in GROUPS if found[key]),
        next_promise=_next_promise(board),
        is_current=board.is_current,
    )


def _group(key: str, lines: list[HomeLine]) -> HomeGroup:
    return HomeGroup(key=key, lines=tuple(lines[:LINES_A_GROUP]), more=max(0, len(lines) - LINES_A_GROUP))


def _once(lines: Iterable[HomeLine]) -> list[HomeLine]:
    """Return the lines with each job under its most pressing heading alone."""
    seen: set[str] = set()
    kept = []
    for line in lines:
        if line.job_code and line.job_code in seen:
            continue
        seen.add(line.job_code)
        kept.append(line)
    return kept


def _blocks(board: PlanBoard) -> list[tuple[Block, str]]:
    found = [(block, row.name) for row in board.rows for block in row.blocks]
    return sorted(found, key=lambda pair: (pair[0].end_at, pair[0].job_id))


def _of_block(board: PlanBoard, block: Block, stringer: str, group: str) -> HomeLine:
    where = f"{stringer} at {block.machine}"
    doing = "on the machine with" if block.state == "on_machine" else "planned with"
    return HomeLine(
        group=group,
        at=block.end_at,
        at_word="planned",
        name=block.player,
        text=f"Racquet {block.racquet_number}, {doing} {where}",
        late_minutes=block.late_min,
        job_code=block.code,
    )


def _court(board: PlanBoard) -> Iterator[HomeLine]:
    for block, stringer in _blocks(board):
        if block.on_court:
            yield _of_block(board, block, stringer, "court")
    for beside in board.beside:
        if beside.on_court:
            yield _unplaced(board, beside, "court") if _has_no_place(beside) else _beside(beside, "court")


def _late(board: PlanBoard) -> Iterator[HomeLine]:
    reasons = {line.job_id: line.reason for line in board.wrong}
    late = [(block, stringer) for block, stringer in _blocks(board) if block.late_min]
    for block, stringer in sorted(late, key=lambda pair: -pair[0].late_min):
        line = _of_block(board, block, stringer, "late")
        text = f"{line.text}; too late from {board.clock(block.too_late_at)}. {reasons.get(block.job_id, '')}".strip()
        yield replace(line, text=text)
    for beside in board.beside:
        if _has_no_place(beside):
            yield _unplaced(board, beside, "late")


def _has_no_place(beside: Beside) -> bool:
    return beside.state == "waiting" and beside.reason != BEING_PLANNED


def _unplaced(board: PlanBoard, beside: Beside, group: str) -> HomeLine:
    promised = f", and {board.clock(beside.promised_at)} was promised" if beside.promised_at else ""
    text = f"Racquet {beside.racquet_number} has no place in the plan{promised}. {beside.reason}"
    return replace(_beside(beside, group), text=text)


def _beside(beside: Beside, group: str) -> HomeLine:
    at, name, text = beside.needed_by_at, beside.player, f"Racquet {beside.racquet_number}: {beside.reason}"
    return HomeLine(group=group, at=at, at_word="needed by", name=name, text=text, job_code=beside.code)


def _urgent(board: PlanBoard, at: datetime) -> Iterator[HomeLine]:
    for block, stringer in _blocks(board):
        needed = block.needed_by_at
        if block.mark == "tight" and block.state == "waiting" and needed is not None and needed - at <= URGENT_WITHIN:
            line = _of_block(board, block, stringer, "urgent")
            yield replace(
                line,
                text=f"{line.text}; needed by {board.clock(needed)}, too late from {board.clock(block.too_late_at)}.",
            )


def _held(board: PlanBoard, *, waiting_for_string: set[str]) -> Iterator[HomeLine]:
    for beside in board.beside:
        if beside.state == "held" and beside.code not in waiting_for_string:
            yield _beside(beside, "held")


def late_with(board: PlanBoard, one: Overdue) -> list[str]:
    """Return the tags of the late racquets that are planned with a stringer or at a machine who is not back yet."""
    return [
        block.code
        for row in board.rows
        for block in row.blocks
        if block.late_min and {"stringer": row.stringer_id, "machine": block.machine_id}.get(one.kind) == one.subject_id
    ]


def _next_promise(board: PlanBoard) -> HomeLine | None:
    blocks = [block for block, _ in _blocks(board) if block.promised_at is not None]
    first = min(blocks, key=lambda block: (block.promised_at, block.job_id), default=None)
    if first is None:
        return None
    return HomeLine(group="promise", at=first.promised_at, name=first.player, text=first.machine, job_code=first.code)
