"""How a cell of the trade is read: tensions, lengths, head sizes, sides of a match, needed by."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from desk.queries.bench.bench_times import HOUSE_KEYS
from desk.services.event_files.cells.plain_cells import code, moment, yes_no
from desk.services.event_files.tables.spec import Around, CellFault, Parse
from desk.trade.errors import UnitError
from desk.trade.racquet.bed import HALVES
from desk.trade.racquet.units import CM2_PER_SQUARE_INCH, Tension, parse_area_cm2, parse_length, parse_tension
from desk.trade.racquet.value_kinds import GAUGE_MM, HEAD_SQ_IN, Number

_WINNER = re.compile(r"winner of (\S+)", re.IGNORECASE)


@dataclass(frozen=True)
class Side:
    """One side of a match: its players, or the match whose winner plays."""

    players: tuple[str, ...] = ()
    winner_of: str | None = None


@dataclass(frozen=True)
class NeededBy:
    """When a racquet is needed: `kind` is match, time (with `at`, UTC) or none."""

    kind: str
    at: datetime | None = None


def needed_by(text: str, around: Around) -> NeededBy:
    """`match`, `none`, a time of the row's day, or a day and a time."""
    if text.casefold() in ("match", "none"):
        return NeededBy(text.casefold())
    try:
        return NeededBy("time", moment(text, around))
    except CellFault as fault:
        if fault.found:
            raise
        raise CellFault('match, none, a time such as "14:05", or a day and a time') from fault


def own_parts(text: str, around: Around) -> tuple[str, ...]:
    """The halves of the string that the player brings: yes means both, no none."""
    if text.casefold() in HALVES:
        return (text.casefold(),)
    try:
        return HALVES if yes_no(text, around) else ()
    except CellFault as fault:
        raise CellFault("yes, no, mains or crosses") from fault


def tension(text: str, _around: Around) -> Tension:
    """A tension with its unit."""
    try:
        return parse_tension(text)
    except UnitError as error:
        if "outside" in error.what:
            low_high = error.what.partition("outside ")[2]
            asks = error.to_do.partition("?")[0]
            meant = f" ({asks[0].lower()}{asks[1:]}?)" if asks.startswith("Did you mean") else ""
            raise CellFault(f"a tension from {low_high}{meant}") from error
        raise CellFault(
            'a tension with its unit, such as "52.5 lb" or "23.5 kg": a bare number may be either'
        ) from error


def _measured(kind: Number, read: Callable[[str], float], expected: str) -> Parse:
    def parse(text: str, _around: Around) -> float:
        try:
            value = read(text)
        except UnitError as error:
            raise CellFault(expected) from error
        if kind.fault(value):
            raise CellFault(expected)
        return value

    return parse


def length_cm(kind: Number) -> Parse:
    """A length with its unit, as centimetres."""
    expected = f'a length with its unit from {kind.low:g} to {kind.high:g} cm, such as "{kind.low:g} cm"'
    return _measured(kind, lambda text: float(parse_length(text).in_cm), expected)


gauge_mm = _measured(
    GAUGE_MM,
    lambda text: float(parse_length(text).in_cm * 10),
    f'a thickness from {GAUGE_MM.low:g} to {GAUGE_MM.high:g} mm with its unit, such as "1.25 mm"',
)
"""The thickness of a string, as millimetres."""

head_sq_in = _measured(
    HEAD_SQ_IN,
    lambda text: round(float(parse_area_cm2(text) / CM2_PER_SQUARE_INCH), 2),
    f'a head size from {HEAD_SQ_IN.low:g} to {HEAD_SQ_IN.high:g} sq in with its unit, such as "98 sq in" or "632 cm2"',
)
"""A head size, as square inches."""


def side(text: str, around: Around) -> Side:
    """One player, two separated by a slash, or the winner of an earlier match."""
    expected = 'a player\'s code, two with a slash ("P03 / P07"), or "winner of M12"'
    winner = _WINNER.fullmatch(text)
    try:
        if winner:
            return Side(winner_of=code(winner[1], around))
        players = tuple(code(part.strip(), around) for part in text.split("/"))
    except CellFault as fault:
        raise CellFault(expected) from fault
    if len(players) > 2 or len(set(players)) < len(players):
        raise CellFault(expected)
    return Side(players=players)


def house_key(text: str, _around: Around) -> str:
    """A row of the table of bench times."""
    key = ", ".join(part.strip() for part in text.casefold().split(","))
    if key not in HOUSE_KEYS:
        raise CellFault("a row of the table of bench times: " + "; ".join(HOUSE_KEYS))
    return key
