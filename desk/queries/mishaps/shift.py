"""How the desk stands when one shift hands over to the next: a page that writes itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Machine, Player, Racquet, ShiftNote, Stringer
from desk.queries.home.home import home
from desk.queries.home.store_lines import HomeLine
from desk.queries.mishaps.mishaps import mishap_lines
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.plan_rows import PlanBoard
from desk.queries.plan.stranded import standing_still
from desk.queries.team.team import stringer_rows
from desk.trade.event.event_time import span

Line = tuple[str, str, str, str]


@dataclass(frozen=True)
class Standing:
    """One heading of the page with its lines, each (time as text, name, what, what time that is)."""

    heading: str
    lines: tuple[Line, ...]


def standings(session: Session, event: Event, at: datetime) -> list[Standing]:
    """Return what the next shift must know, the most pressing first; headings without a line are left out."""
    return [standing for standing in _standings(session, event, at) if standing.lines]


WORDS = {
    "stranded": "Nobody works on these",
    "late": "Late",
    "promise": "Promises about to break",
    "urgent": "Tight",
    "court": "From a court",
    "held": "Held",
    "string": "String",
    "expected": "Expected back, and nobody has said so",
    "reading": "Waiting for calibration",
    "machine": "Machines",
    "care": "Machines due for a check",
}
PROMISED = 8


def _standings(session: Session, event: Event, at: datetime) -> Iterator[Standing]:
    board = plan_board(session, event, at)
    yield Standing("On the machines", tuple(_running(session, event, board)))
    for group in home(session, event, at).groups:
        if group.key in WORDS:
            lines = [_line(board, line) for line in group.lines]
            more = [("", f"and {group.more} more", "", "")] if group.more else []
            yield Standing(WORDS[group.key], (*lines, *more))
    yield Standing("Promised next", tuple(_promised(board)))
    away = [row for row in stringer_rows(session, event, at) if row.absent]
    back = ((board.clock(row.back_at), row.name, "", "back") for row in away)
    yield Standing("Away", tuple(back))
    wrong = [line for line in mishap_lines(session, event) if line.closed_at is None]
    said = ((board.clock(line.at), line.player, f"{line.code} {line.words}", "noted") for line in wrong)
    yield Standing("What went wrong", tuple(said))


def _line(board: PlanBoard, line: HomeLine) -> Line:
    """A line of Now; what is late says by how much, beside the time that this counts from."""
    past = "after its promise" if line.group == "promise" else "late"
    late = f"{span(line.late_minutes)} {past}." if line.late_minutes else ""
    return board.clock(line.at), line.name, " ".join(filter(None, (line.job_code, late, line.text))), line.at_word


def _running(session: Session, event: Event, board: PlanBoard) -> Iterator[Line]:
    found = (
        select(Job.id, Job.code, Job.expected_end_at, Racquet.number, Player.called, Stringer.name, Machine.name)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Stringer, Stringer.id == Job.stringer_id)
        .join(Machine, Machine.id == Job.machine_id)
        .where(Job.event_id == event.id, Job.state == "on_machine")
        .order_by(Machine.position)
    )
    still = standing_still(session, event, board.at)
    for job_id, code, ends_at, number, player, stringer, machine in session.execute(found):
        where = f"{code} with {stringer} at {machine}"
        if job_id in still:
            yield "", f"{player}, {number}", f"{where}; {still[job_id]}, and nobody works on it", ""
        else:
            yield board.clock(ends_at), f"{player}, {number}", where, "done by"


def _promised(board: PlanBoard) -> Iterator[Line]:
    blocks = [block for row in board.rows for block in row.blocks]
    waiting = [block for block in blocks if block.promised_at and block.state == "waiting"]
    for block in sorted(waiting, key=lambda block: block.promised_at)[:PROMISED]:
        yield board.clock(block.promised_at), f"{block.player}, {block.racquet_number}", block.code, "promised"


def as_stored(found: list[Standing]) -> list[dict]:
    """Return the page as it is kept with the note of the shift."""
    return [asdict(standing) for standing in found]


def notes(session: Session, event: Event, *, most: int = 10) -> list[ShiftNote]:
    """Return the newest notes, the newest first."""
    found = select(ShiftNote).where(ShiftNote.event_id == event.id).order_by(ShiftNote.id.desc()).limit(most)
    return list(session.scalars(found))
