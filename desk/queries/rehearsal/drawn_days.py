"""A picture's drawn events as days that the benches play."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from desk.trade.rehearsed.drawn_racquets import NO_TIME, DrawnEvent, draw_event
from desk.trade.rehearsed.picture import Picture
from solver.rehearsal import Day, Outage, Racquets

Ints = npt.NDArray[np.int64]
NOTABLE_MIN = 5
"""A needed-by time that moves by less is left: the plan would only be made anew for nothing."""


@dataclass(frozen=True, kw_only=True)
class RehearsedDay(Day):
    """A day with what its figures are counted by: each racquet's day and match, and when play really starts."""

    day: Ints
    match: Ints
    called: Ints
    on_court: npt.NDArray[np.bool_]
    metres: npt.NDArray[np.float64]


@dataclass(frozen=True)
class DrawnDays:
    """Makes the event of a number as one long day; `own` are each player's own stringer and machine by code."""

    picture: Picture
    own: Mapping[str, tuple[str | None, str | None]] = field(default_factory=dict)

    def __call__(self, number: int) -> RehearsedDay:
        """Draw the event and lay it out in arrays."""
        drawn = draw_event(self.picture, number)
        rows = drawn.racquets
        players = {name: i for i, name in enumerate(sorted({row.player for row in rows}))}
        matches = {one.match.key: i for i, one in enumerate(drawn.played)}
        known = _ints(row.known for row in rows)
        racquets = Racquets(
            known=known,
            ready=known,
            fresh=known,
            due=_ints(row.due for row in rows),
            latest=_ints(row.latest for row in rows),
            weight=_ints(row.weight for row in rows),
            minutes=_ints(row.card.on_court_minutes if row.on_court else row.card.minutes for row in rows),
            player=_ints(players[row.player] for row in rows),
            factor=np.fromiter((row.factor for row in rows), np.float64),
            moves=self._moves(drawn),
        )
        return RehearsedDay(
            racquets=racquets,
            own_stringers={i: (self.own[p][0],) for p, i in players.items() if self.own.get(p, (None,))[0]},
            own_machines={i: (self.own[p][1],) for p, i in players.items() if self.own.get(p, (None, None))[1]},
            outages=tuple(
                Outage(machine=one.machine, stringer=one.stringer, start=one.start, end=one.end)
                for one in drawn.failures
            ),
            now=min((day.opens for day in self.picture.days), default=0),
            seed=number,
            day=_ints(self.picture.day_of(min(row.due, NO_TIME)) for row in rows),
            match=_ints(matches.get(row.match, -1) for row in rows),
            called=_ints(row.called for row in rows),
            on_court=np.fromiter((row.on_court for row in rows), np.bool_),
            metres=self._metres(drawn),
        )

    def _moves(self, drawn: DrawnEvent) -> Ints:
        """The news of needed-by times by racquet: minute, racquet, due, latest."""
        of_match: dict[str, list[int]] = defaultdict(list)
        for i, row in enumerate(drawn.racquets):
            if row.called < NO_TIME:
                of_match[row.match].append(i)
        held = dict(self.picture.points)
        rows = []
        for move in drawn.moves:
            if abs(move.point - held.get(move.match, move.point)) < NOTABLE_MIN:
                continue
            held[move.match] = move.point
            due = move.point - self.picture.lead_min
            rows += [(move.at, i, due, due + self.picture.soft_min) for i in of_match[move.match]]
        return np.array(rows, np.int64).reshape(-1, 4)

    def _metres(self, drawn: DrawnEvent) -> npt.NDArray[np.float64]:
        metres = np.zeros(len(self.picture.strings))
        for row in drawn.racquets:
            for place, length in row.card.uses:
                metres[place] += length
        return metres


def _ints(values: object) -> Ints:
    return np.fromiter(values, np.int64)  # type: ignore[call-overload]
