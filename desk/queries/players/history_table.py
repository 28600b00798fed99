"""One player's history as a table to take along: plain values, times of the event's own clock."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from desk.models import STATE_WORDS, Event, Player
from desk.queries.players.players import HistoryRow, history_rows
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.units import plain

HEADINGS = (
    *("job", "state", "dropped_off", "strung", "racquet", "frame", "mains_string", "crosses_string", "mains_tension"),
    *("crosses_tension", "unit", "knots", "mains_pre_stretch_per_cent", "crosses_pre_stretch_per_cent", "stencil"),
    *("extra_work", "own_string", "mains_m", "crosses_m", "metres", "stiffness", "stringer", "machine", "on_court"),
    "strung_again_from",
)


def history_table(session: Session, event: Event, player: Player) -> list[tuple[str, ...]]:
    """Return the headings and one line a job, oldest first; every cell is text."""
    clock = EventClock(event.time_zone, event.days[0].date if event.days else date(1970, 1, 1))
    rows = reversed(history_rows(session, event, player))
    return [HEADINGS, *(tuple(_cells(row, clock)[name] for name in HEADINGS) for row in rows)]


def _cells(row: HistoryRow, clock: EventClock) -> dict[str, str]:
    card, metres = row.card, row.metres
    strung = metres.total_m > 0
    return {
        "job": card.code,
        "state": STATE_WORDS[card.state],
        "dropped_off": _local(clock, card.dropped_at),
        "strung": _local(clock, card.finished_at),
        "racquet": str(card.racquet),
        "frame": card.frame,
        **{f"{part}_string": half.string for part, half in card.bed.items()},
        **{f"{part}_tension": plain(half.tension) for part, half in card.bed.items()},
        "unit": card.bed.mains.unit,
        "knots": str(card.knots),
        **{f"{part}_pre_stretch_per_cent": str(half.pre_stretch) for part, half in card.bed.items()},
        "stencil": card.stencil,
        "extra_work": card.extra_work.replace("_", " "),
        "own_string": card.bed.own_string,
        **{f"{part}_m": f"{of_half:g}" if strung else "" for part, of_half in metres.items()},
        "metres": ("measured" if metres.measured else "computed") if strung else "",
        "stiffness": "" if row.stiffness is None else f"{row.stiffness:g}",
        "stringer": card.stringer,
        "machine": card.machine,
        "on_court": "yes" if card.on_court else "no",
        "strung_again_from": row.redo_of_code,
    }


def _local(clock: EventClock, at: datetime | None) -> str:
    return "" if at is None else f"{clock.local(at):%Y-%m-%d %H:%M}"
