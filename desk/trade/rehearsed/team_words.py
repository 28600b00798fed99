"""A team said in words: "5 from 8 to 20", "6 with a late shift", "as planned less a machine"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from desk.trade.errors import TradeError
from desk.trade.rehearsed.draw_sizes import DayHours

Span = tuple[int, int]
AT_A_STRETCH, BREAK, STAGGER = 270, 30, 20
"""Minutes of work before a break, minutes of the break, and minutes by which breaks follow one another (CP)."""
SHIFT = 9 * 60
"""Minutes of an early or a late shift, breaks in (common practice)."""
EVERY_THIRD = 3

_AS_PLANNED = re.compile(r"as planned(?: (?P<change>less|with) (?P<what>a (?:stringer|machine)))?")
_SO_MANY = re.compile(
    r"(?P<people>\d{1,2})(?: stringers?)?(?: (?:at|on) (?P<machines>\d{1,2})(?: machines?)?)?"
    r"(?: from (?P<from>\d{1,2}(?::\d\d)?) to (?P<to>\d{1,2}(?::\d\d)?)| (?P<late>with a late shift))?"
)
SHAPES = '"as planned", "as planned less a machine", "5 from 8 to 20", "6 with a late shift", "6 at 5 from 8 to 20"'


@dataclass(frozen=True, kw_only=True)
class TeamWords:
    """A team as it was said; None for what stays as it is planned."""

    said: str
    people: int | None = None
    machines: int | None = None
    hours: Span | None = None
    late_shift: bool = False
    more_people: int = 0
    more_machines: int = 0


def read_team(text: str) -> TeamWords:
    """Read a team's words.

    Raises
    ------
    TradeError
        When they are none of the known shapes; the message names these.
    """
    said = " ".join(text.split()).lower()
    planned, counted = _AS_PLANNED.fullmatch(said), _SO_MANY.fullmatch(said)
    if planned is not None:
        change = {"less": -1, "with": 1, None: 0}[planned["change"]]
        machine = planned["what"] == "a machine"
        return TeamWords(said=said, more_people=0 if machine else change, more_machines=change if machine else 0)
    if counted is None:
        raise TradeError(f'"{text}" is no team', "Team", f"Write it as one of {SHAPES}.")
    hours = (_minute(counted["from"]), _minute(counted["to"])) if counted["from"] else None
    if hours is not None and hours[1] <= hours[0]:
        raise TradeError(f'"{text}" ends before it begins', "Team", "Give the later hour second, past midnight 24:30.")
    machines = counted["machines"]
    return TeamWords(
        said=said,
        people=int(counted["people"]),
        machines=None if machines is None else int(machines),
        hours=hours,
        late_shift=bool(counted["late"]),
    )


def shifts_of(words: TeamWords, number: int, days: Sequence[DayHours]) -> list[Span]:
    """The hours at work of the stringer of this number (from 0) on all days, breaks left out."""
    spans = []
    for day in days:
        opens, closes = day.opens, day.closes
        if words.hours is not None:
            opens, closes = (day.midnight + at for at in words.hours)
        elif words.late_shift:
            late = number % EVERY_THIRD == EVERY_THIRD - 1
            opens, closes = (max(opens, closes - SHIFT), closes) if late else (opens, min(closes, opens + SHIFT))
        spans += with_breaks((opens, closes), number)
    return spans


def with_breaks(span: Span, number: int) -> list[Span]:
    """Hours with a break after each stretch, so laid that stringers of different numbers do not all stop at once."""
    start, end = span
    first = start + AT_A_STRETCH - STAGGER * (number % 4)
    found, begin, stop = [], start, first
    while stop + BREAK < end - 60:
        found.append((begin, stop))
        begin, stop = stop + BREAK, stop + BREAK + AT_A_STRETCH
    return [*found, (begin, end)]


def _minute(text: str) -> int:
    hour, _, minute = text.partition(":")
    return int(hour) * 60 + int(minute or 0)
