"""The workload as arrays for the bound: jobs, places, free stretches and acquaintances."""

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from solver.contract.calendar import horizon
from solver.contract.end_points import end_points
from solver.contract.points import Points
from solver.contract.workload import Job, Span, Stringer, Workload, bench_minutes, earliest_start, waits_from
from solver.judge.costs import leaving_out_cost

Ints = NDArray[np.int64]
FAR = 1 << 50
"""A time past any other, and more points than any plan costs."""
SCALE = 64
"""Prices of minutes are whole 64ths of a point, so that the bound is exact arithmetic."""
MOST_RACQUETS = 8
"""Racquets of a player that are looked at together; the others count as a stranger's without prices."""
MOST_PLACES = 60_000
_ALWAYS: Span = (-FAR, FAR)

# columns of Table.jobs
READY, ORIGIN, FRESH, STALE, ROW_FROM, ROW_TO, ROW_AT, SLOPE, LEFT_OUT = range(9)
JOB_COLUMNS = 9
# columns of Table.places: a job at a bench, with its minutes, its fixed points and its stretches
STRINGER, LANE, LENGTH, FIXED, FIRST, LAST = range(6)


class Table(NamedTuple):
    """Arrays of one workload without started jobs; times count from its `now`, points are scaled.

    J jobs grouped by player, P players, S stringers, M machines whose minutes are priced, T minutes.
    """

    jobs: Ints  # (J, 9)
    by_end: Ints  # (V,) points by end, a row of minutes for each job: `ROW_AT` is the end that it begins with
    floors: Ints  # (V,) the least of a row from there on
    place_from: Ints  # (J + 1,) where each job's rows of `places` begin
    places: Ints  # (K, 6)
    lanes: Ints  # (L, 2) stringer and machine as rows of `hours`, or -1 where only the first is priced
    spans: Ints  # (W, 2) stretches of free time, those of a place lie together
    player_from: Ints  # (P + 1,) where each player's jobs begin
    new_price: Ints  # (P, S) points for a stringer who is new to the player
    first_free: Ints  # (P,) 1 where the dearest of the new stringers costs nothing
    hours: Ints  # (S + M, T) 1 in each minute that could be used
    points: Ints  # (1,) points for a minute of waiting


def new_table(workload: Workload, points: Points) -> Table:
    """Give the arrays of a workload without started jobs (see `part_of`)."""
    return _Writer(workload, points).table()


class _Writer:
    def __init__(self, workload: Workload, points: Points) -> None:
        self.workload, self.points, self.now = workload, points, workload.now
        self.last = max(horizon(workload), workload.now + 1)
        self.jobs = sorted(workload.jobs, key=lambda job: (job.player, job.ready_from))
        self.bound_to_machines = {
            job.player for job in self.jobs if job.machines is not None or job.pinned_machine is not None
        }
        self.homes = Counter(s.home for s in workload.stringers if s.home is not None)
        self.certain = {s.id for s in workload.stringers if self._home_is_certain(s)}
        self.row = {s.id: i for i, s in enumerate(workload.stringers)}
        self.every_bench = self._machines_are_scarce()
        priced = [m for m in workload.machines if self.every_bench or self.homes[m.id] > 1]
        self.machine_row = {m.id: i for i, m in enumerate(priced, start=len(self.row))}
        self.rows: list[Ints] = []
        self.filled = 0
        self.lanes: dict[Span, int] = {}
        self.spans: list[Span] = []
        self.places: dict[object, Ints] = {}
        self.span_range: dict[tuple[str, str | None], Span] = {}

    def _machines_are_scarce(self) -> bool:
        w = self.workload
        size = len(w.jobs) * len(w.stringers) * len(w.machines)
        all_at_home = len(self.homes) == len(w.stringers)
        return size <= MOST_PLACES and not all_at_home and len(w.machines) <= len(w.stringers)

    def table(self) -> Table:
        """Write all arrays."""
        places = [self._places_of(job) for job in self.jobs]
        players = [job.player for job in self.jobs]
        first = _group_starts(players)
        prices = [self._new_prices(players[i], i == 0 or players[i - 1] != players[i]) for i in first]
        return Table(
            jobs=_array([self._job(job) for job in self.jobs], JOB_COLUMNS),
            by_end=np.concatenate([np.zeros(0, np.int64), *self.rows]),
            floors=np.concatenate(
                [np.zeros(0, np.int64), *(np.minimum.accumulate(row[::-1])[::-1] for row in self.rows)]
            ),
            place_from=np.cumsum([0, *map(len, places)]).astype(np.int64),
            places=np.concatenate([np.zeros((0, 6), np.int64), *places]),
            lanes=_array(list(self.lanes), 2),
            spans=_array(self.spans, 2),
            player_from=np.array([*first, len(players)], dtype=np.int64),
            new_price=_array([row for row, _ in prices], len(self.workload.stringers)),
            first_free=np.array([free for _, free in prices], dtype=np.int64),
            hours=self._hours(),
            points=np.array([self.points.waiting * SCALE], dtype=np.int64),
        )

    def _job(self, job: Job) -> list[int]:
        p, now = self.points, self.now
        row = end_points(self.workload, job, p)
        self.rows.append(row.values * SCALE)
        begin, self.filled = self.filled, self.filled + len(row.values)
        return [
            *(earliest_start(self.workload, job) - now, waits_from(job) - now),
            -FAR if job.fresh_from is None else job.fresh_from - now,
            p.stale * SCALE,
            *(begin, self.filled, row.first - now, row.slope * SCALE),
            leaving_out_cost(self.workload, job, p) * SCALE,
        ]

    def _places_of(self, job: Job) -> Ints:
        """Give the places of a job, made once for all jobs that may go to the same at equal points."""
        key = (
            *(job.minutes, job.planned_stringer, job.pinned_stringer, job.pinned_machine),
            *(job.stringers, job.machines),
        )
        if key not in self.places:
            self.places[key] = _array(list(self._new_places(job)), 6)
        return self.places[key]

    def _new_places(self, job: Job) -> Iterator[list[int]]:
        for s in self.workload.stringers:
            if not job.allows_stringer(s.id):
                continue
            length = bench_minutes(job, s)
            fixed = self.points.over_target * max(0, length - self.workload.target_minutes)
            fixed += self.points.moved * (job.planned_stringer not in (None, s.id))
            for machine, away in self._machines_for(job, s):
                first, last = self._stretches(s, machine)
                points = (fixed + self.points.away * away) * SCALE
                yield [self.row[s.id], self._lane(s, machine), length, points, first, last]

    def _lane(self, s: Stringer, machine: str | None) -> int:
        pair = self.row[s.id], -1 if machine is None else self.machine_row.get(machine, -1)
        return self.lanes.setdefault(pair, len(self.lanes))

    def _machines_for(self, job: Job, s: Stringer) -> Iterator[tuple[str | None, bool]]:
        """Give machines with whether they are away from home; None stands for any, always free."""
        listed = [m.id for m in self.workload.machines if job.allows_machine(m.id)]
        is_free = len(listed) == len(self.workload.machines)
        if self.every_bench or len(listed) <= 3:
            yield from ((name, s.home not in (None, name)) for name in listed)
        elif s.home is None or s.home not in listed:
            yield None, s.home is not None
        else:
            yield s.home, False
            if not (is_free and s.id in self.certain):
                yield None, True

    def _home_is_certain(self, s: Stringer) -> bool:
        home = self.workload.machine_by_id.get(s.home or "")
        return home is not None and self.homes[home.id] == 1 and covers(home.windows, s.windows)

    def _stretches(self, s: Stringer, machine: str | None) -> Span:
        key = s.id, machine
        if key not in self.span_range:
            first = len(self.spans)
            its = None if machine is None else self.workload.machine_by_id[machine].windows
            for a, b in s.windows:
                for c, d in (_ALWAYS,) if its is None else its:
                    start, end = max(a, c, self.now), min(b, d, self.last)
                    if start < end:
                        self.spans.append((start - self.now, end - self.now))
            self.span_range[key] = first, len(self.spans)
        return self.span_range[key]

    def _new_prices(self, player: str, is_first_group: bool) -> tuple[list[int], int]:
        """Give the points for each stringer new to a player, and whether the dearest is free.

        A stringer at a home machine of their own which is new to the player too brings another
        machine with them, or works away: the cheaper of the two is certain.
        """
        if not is_first_group:
            return [0] * len(self.workload.stringers), 0
        past = self.workload.history.get(player)
        stringers, machines = (past.stringers, past.machines) if past else ((), ())
        bonus = min(self.points.away, self.points.extra_machine)
        if bool(stringers) != bool(machines) or not self._goes_anywhere(player):
            bonus = 0
        prices = [
            self.points.extra_stringer * (s.id not in stringers)
            + bonus * (s.id in self.certain and s.home not in machines)
            for s in self.workload.stringers
        ]
        return [price * SCALE for price in prices], int(not stringers)

    def _goes_anywhere(self, player: str) -> bool:
        return player not in self.bound_to_machines

    def _hours(self) -> Ints:
        out = np.zeros((len(self.row) + len(self.machine_row), self.last - self.now), dtype=np.int64)
        owners = [(self.row[s.id], s.windows) for s in self.workload.stringers]
        for name, row in self.machine_row.items():
            its = self.workload.machine_by_id[name].windows
            owners.append((row, (_ALWAYS,) if its is None else its))
        for row, windows in owners:
            for a, b in windows:
                out[row, max(0, a - self.now) : max(0, b - self.now)] = 1
        return out


def _group_starts(players: list[str]) -> list[int]:
    """Give where each group of up to `MOST_RACQUETS` racquets of one player begins."""
    starts: list[int] = []
    for i, name in enumerate(players):
        if not starts or players[starts[-1]] != name or i - starts[-1] == MOST_RACQUETS:
            starts.append(i)
    return starts


def covers(outer: tuple[Span, ...] | None, inner: tuple[Span, ...]) -> bool:
    """Whether each of the `inner` windows lies in one of the `outer` ones."""
    return outer is None or all(any(a <= c and d <= b for a, b in outer) for c, d in inner)


def _array(rows: list[list[int]] | list[Span], columns: int) -> Ints:
    return np.array(rows, dtype=np.int64).reshape(len(rows), columns)
