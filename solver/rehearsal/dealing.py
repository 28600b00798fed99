"""Who works at which machine when: dealt once a day, and anew when one fails or comes back."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from solver.contract.workload import Span
from solver.rehearsal.day_and_team import Ints, Outage, Team, windows_less
from solver.rehearsal.table_columns import NEVER

Turn = tuple[int, int, int]
"""From, to, and the machine's number."""


def deal(team: Team, outages: Sequence[Outage] = ()) -> list[list[Turn]]:
    """Give each stringer's turns at machines: at the home machine where it is free, else at another in service.

    Where there are more stringers than machines somebody has no turn: those at their home machine stay, the
    others keep what they have, then the first in the team's order is served.
    """
    shifts = [_less(s.windows, [o for o in outages if o.stringer == s.id]) for s in team.stringers]
    service = [_less(m.windows or ((-NEVER, NEVER),), [o for o in outages if o.machine == m.id]) for m in team.machines]
    edges = sorted({at for spans in (*shifts, *service) for span in spans for at in span})
    number = {m.id: i for i, m in enumerate(team.machines)}
    home = [number.get(s.home or "", -1) for s in team.stringers]
    turns: list[list[Turn]] = [[] for _ in team.stringers]
    for start, end in pairwise(edges):
        there = [i for i, spans in enumerate(shifts) if _covers(spans, start, end)]
        free = {m for m, spans in enumerate(service) if _covers(spans, start, end)}
        for i, machine in _seats(there, free, home, turns, start).items():
            _add(turns[i], shifts[i], start, end, machine)
    return turns


def tables(team: Team, outages: Sequence[Outage]) -> tuple[Ints, Ints, Ints]:
    """Give the turns as they are dealt from the beginning and at each change: turns, their number, and from when."""
    times = sorted({at for o in outages for at in (o.start, o.end)})
    dealt = [deal(team)] + [deal(team, [o for o in outages if o.start <= at < o.end]) for at in times]
    most = max((len(turns) for table in dealt for turns in table), default=1)
    out = np.zeros((len(dealt), len(team.stringers), max(1, most), 3), np.int64)
    number = np.zeros((len(dealt), len(team.stringers)), np.int64)
    for v, table in enumerate(dealt):
        for s, turns in enumerate(table):
            number[v, s] = len(turns)
            out[v, s, : len(turns)] = np.array(turns, np.int64).reshape(-1, 3)
    return out, number, np.array([-NEVER, *times], np.int64)


def _seats(there: list[int], free: set[int], home: list[int], turns: list[list[Turn]], at: int) -> dict[int, int]:
    seats: dict[int, int] = {}
    kept = {i: turns[i][-1][2] for i in there if turns[i] and turns[i][-1][1] == at}
    left = set(free)
    for i in sorted(there, key=lambda i: (kept.get(i) != home[i], i)):
        if home[i] in left:
            seats[i] = home[i]
            left.discard(home[i])
    for i in there:
        if i not in seats and kept.get(i) in left:
            seats[i] = kept[i]
            left.discard(kept[i])
    homes = {home[i] for i in range(len(home))}
    for i in there:
        if i not in seats and left:
            seats[i] = min(left, key=lambda m: (m in homes, m))
            left.discard(seats[i])
    return seats


def _add(turns: list[Turn], shift: list[Span], start: int, end: int, machine: int) -> None:
    """Add a turn, joined to the one before where it goes on at the same machine within one shift."""
    if turns and turns[-1][1] == start and turns[-1][2] == machine and _covers(shift, turns[-1][0], end):
        start = turns.pop()[0]
    turns.append((start, end, machine))


def _less(windows: Sequence[Span], outages: Sequence[Outage]) -> list[Span]:
    return windows_less(windows, [(o.start, o.end) for o in outages])


def _covers(spans: Sequence[Span], start: int, end: int) -> bool:
    return any(a <= start and end <= b for a, b in spans)
