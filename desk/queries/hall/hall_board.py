"""The players' board in the hall: what is ready, what comes next, what runs late and since when."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from operator import attrgetter

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Court, Event, EventDay, Job, Player
from desk.queries.machines.readings_due import NOT_DUE, readings_due
from desk.queries.promise.open_times import open_times
from desk.trade.event.names import display_name

SHOWN = ("waiting", "on_machine", "strung")


@dataclass(frozen=True, kw_only=True)
class BoardLine:
    """One player's racquets of one time; `codes` are their tags.

    `time_at` is when they were strung, or what was told. `about` marks a time of the plan that
    nobody promised. `late` says that the time told has passed, `expected_at` what the plan says then. `is_open` says
    that the desk must decide something before anybody can say a time; `time_at` only sorts it then.
    """

    name: str
    codes: tuple[str, ...]
    time_at: datetime
    about: bool
    late: bool
    expected_at: datetime | None
    on_machine: bool
    court: str
    is_open: bool = False


@dataclass(frozen=True, kw_only=True)
class HallBoard:
    """The board: ready (the newest first), coming (the soonest first), and when the desk closes."""

    ready: tuple[BoardLine, ...]
    coming: tuple[BoardLine, ...]
    closes_at: datetime | None
    opens_at: datetime | None


def hall_board(session: Session, event: Event, at: datetime) -> HallBoard:
    """Return the board with names as the event shows them, in a fixed number of statements.

    A time of the plan is no time while the racquet waits for nothing but the first reading of a machine today.
    """
    lines: dict[tuple, BoardLine] = {}
    day, rows = _day(session, event, at), session.execute(_rows(event)).all()
    is_later = day is not None and any(row.start_at and row.start_at >= day.closes_at for row in rows)
    due = readings_due(session, event, at) if is_later else NOT_DUE
    undecided = open_times(session, event, at)
    for row in rows:
        unread = due.hold_up(row.start_at, row.not_before_at)
        is_open = row.job_id in undecided
        line = _line(row, event.board_names, at, planned_at=None if unread else row.expected_end_at or row.end_at)
        if line is None:
            continue
        if is_open:
            line = replace(line, about=False, late=False, expected_at=None, on_machine=False, court="", is_open=True)
        # By tag alone nobody knows that two racquets are one player's, so each has its line.
        who = row.code if event.board_names == "tag" else row.player_id
        key = (
            row.state == "strung",
            who,
            line.court,
            line.time_at.replace(second=0, microsecond=0),
            line.about,
            is_open,
        )
        before = lines.get(key)
        lines[key] = line if before is None else _together(before, line)
    ready = [line for key, line in lines.items() if key[0]]
    coming = [line for key, line in lines.items() if not key[0]]
    return HallBoard(
        ready=tuple(sorted(ready, key=attrgetter("time_at"), reverse=True)),
        coming=tuple(sorted(coming, key=attrgetter("time_at"))),
        opens_at=day.opens_at if day else None,
        closes_at=day.closes_at if day else None,
    )


def _rows(event: Event):
    return (
        select(
            Job.id.label("job_id"),
            Job.code,
            Job.state,
            Job.player_id,
            Job.on_court,
            Job.finished_at,
            Job.expected_end_at,
        )
        .add_columns(Player.name, Player.called, Court.name.label("court"))
        .add_columns(Job.promised_at, Job.not_before_at, Assignment.start_at, Assignment.end_at)
        .join(Player, Player.id == Job.player_id)
        .outerjoin(Court, Court.id == Job.court_id)
        .outerjoin(Assignment, (Assignment.job_id == Job.id) & (Assignment.run_id == (event.current_run_id or 0)))
        .where(Job.event_id == event.id, Job.state.in_(SHOWN))
        .order_by(Job.serial)
    )


def _line(row, style: str, at: datetime, *, planned_at: datetime | None) -> BoardLine | None:
    """Return the line of one racquet, None while it has no time."""
    ready = row.state == "strung"
    time_at = row.finished_at if ready else row.promised_at or planned_at
    if time_at is None:
        return None
    late = not ready and row.promised_at is not None and row.promised_at < at
    return BoardLine(
        name=row.called if style == "full" else display_name(row.name, style, row.code),
        codes=(row.code,),
        time_at=time_at,
        about=not ready and row.promised_at is None,
        late=late,
        expected_at=planned_at if late and planned_at is not None and planned_at > at else None,
        on_machine=row.state == "on_machine",
        court=(row.court or "court") if row.on_court else "",
    )


def _together(one: BoardLine, other: BoardLine) -> BoardLine:
    expected = [at for at in (one.expected_at, other.expected_at) if at is not None]
    return replace(
        one,
        codes=(*one.codes, *other.codes),
        time_at=max(one.time_at, other.time_at),
        on_machine=one.on_machine or other.on_machine,
        expected_at=max(expected, default=None),
    )


def _day(session: Session, event: Event, at: datetime):
    found = (
        select(EventDay.opens_at, EventDay.closes_at)
        .where(EventDay.event_id == event.id, EventDay.closes_at > at)
        .order_by(EventDay.opens_at)
        .limit(1)
    )
    return session.execute(found).first()
