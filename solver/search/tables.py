"""A workload as tables of whole numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.contract.calendar import Calendar
from solver.contract.points import Points
from solver.contract.workload import (
    Job,
    Span,
    Stringer,
    Workload,
    bench_minutes,
    earliest_start,
    may_hold,
    may_string,
)
from solver.judge.costs import leaving_out_cost
from solver.search import layout
from solver.search.layout import FAR, Ints

_LATEST = 1 << 39


@dataclass(frozen=True, kw_only=True)
class Names:
    """What the rows of the arrays stand for; `jobs` are those that are searched over."""

    jobs: tuple[str, ...]
    hopeless: tuple[str, ...]
    stringers: tuple[str, ...]
    machines: tuple[str, ...]
    players: tuple[str, ...]

    def numbers(self) -> tuple[dict[str, int], dict[str, int], dict[str, int]]:
        """Give the rows of jobs, stringers and machines by id."""
        jobs, stringers, machines = (
            {name: i for i, name in enumerate(ids)} for ids in (self.jobs, self.stringers, self.machines)
        )
        return jobs, stringers, machines


def common_windows(mine: Sequence[Span], its: Sequence[Span]) -> list[Span]:
    """Give the stretches that lie in one window of both, by start."""
    both = [(max(a, c), min(b, d)) for a, b in mine for c, d in its if max(a, c) < min(b, d)]
    return sorted(set(both))


def to_tables(workload: Workload, points: Points) -> tuple[dict[str, Ints], Names]:
    """Translate a workload; started racquets become gaps in the hours of their bench.

    Returns
    -------
    dict of str to array
        The tables of `layout.Offsets` that do not change during a search.
    Names
        What their rows stand for.  Jobs that fit nowhere are no rows.
    """
    hours = _common_hours(workload)
    minutes_of = {j.id: _possible_minutes(workload, j, hours) for j in workload.jobs if j.started is None}
    jobs = [j for j in workload.jobs if any(minutes_of.get(j.id, ()))]
    names = Names(
        jobs=tuple(j.id for j in jobs),
        hopeless=tuple(name for name, lengths in minutes_of.items() if not any(lengths)),
        stringers=tuple(s.id for s in workload.stringers),
        machines=tuple(m.id for m in workload.machines),
        players=tuple(dict.fromkeys(j.player for j in workload.jobs)),
    )
    minutes = _table([minutes_of[j.id] for j in jobs], len(jobs), len(names.stringers))
    tables = _eligibility(jobs, names, minutes)
    tables["jobs"] = _job_table(workload, points, jobs, names)
    tables["jobs"][:, layout.MACHINES] = tables["allowed"].sum(axis=1)
    tables["player_jobs"], tables["player_from"] = _by_player(tables["jobs"], len(names.players))
    tables["bench"], tables["host"] = _benches(workload)
    tables["windows"], tables["window_count"] = _window_table(hours, len(names.stringers), len(names.machines))
    tables["points"] = _point_table(points)
    tables["fixed"] = _fixed_costs(workload, points, jobs, minutes)
    tables["away"] = _away_costs(workload, points)
    tables["first_free"] = _first_free(workload, names)
    return tables, names


def _eligibility(jobs: Sequence[Job], names: Names, minutes: Ints) -> dict[str, Ints]:
    rows = [[int(j.allows_machine(m)) for m in names.machines] for j in jobs]
    allowed = _table(rows, len(jobs), len(names.machines))
    return {
        "minutes": minutes,
        "allowed": allowed,
        "where": true_columns_first(allowed > 0),
    }


def _by_player(jobs: Ints, players: int) -> tuple[Ints, Ints]:
    order = np.argsort(jobs[:, layout.PLAYER], kind="stable").astype(np.int64)
    starts = np.searchsorted(jobs[order, layout.PLAYER], np.arange(players + 1))
    return order, starts.astype(np.int64)


def _table(rows: Sequence[Sequence[int]], height: int, width: int) -> Ints:
    return np.array(rows, dtype=np.int64).reshape(height, width)


def _common_hours(workload: Workload) -> list[list[list[Span]]]:
    calendar = Calendar(workload)
    earliest = [(workload.now, _LATEST)]
    return [
        [
            common_windows(common_windows(calendar.stringers[s.id].spans, earliest), calendar.machines[m.id].spans)
            for m in workload.machines
        ]
        for s in workload.stringers
    ]


def _possible_minutes(workload: Workload, job: Job, hours: list[list[list[Span]]]) -> list[int]:
    """Give the bench time with each stringer, 0 with those who may not or have no time for it."""
    start = earliest_start(workload, job)
    machines = {m.id for m in may_hold(workload, job)}
    may = {s.id for s in may_string(workload, job)}
    lengths = []
    for stringer, row in zip(workload.stringers, hours, strict=True):
        length = bench_minutes(job, stringer)
        fits = stringer.id in may and any(
            b - max(a, start) >= length
            for machine, spans in zip(workload.machines, row, strict=True)
            if machine.id in machines
            for a, b in spans
        )
        lengths.append(length if fits else 0)
    return lengths


def _benches(workload: Workload) -> tuple[Ints, Ints]:
    """Give each stringer a bench: home, or a machine nobody calls home; and each bench one host."""
    numbers = {m.id: i for i, m in enumerate(workload.machines)}
    bench = np.full(len(workload.stringers), -1, dtype=np.int64)
    host = np.full(len(workload.machines), -1, dtype=np.int64)
    for i, s in enumerate(workload.stringers):
        if s.home in numbers:
            bench[i] = numbers[s.home]
            if host[bench[i]] < 0:
                host[bench[i]] = i
    spare = [m for m in range(len(host)) if host[m] < 0]
    for i in range(len(bench)):
        if bench[i] < 0 and spare:
            bench[i] = spare.pop(0)
            host[bench[i]] = i
    return bench, host


def _window_table(hours: list[list[list[Span]]], stringers: int, machines: int) -> tuple[Ints, Ints]:
    most = max((len(spans) for row in hours for spans in row), default=0)
    windows = np.zeros((stringers * machines, most, 2), dtype=np.int64)
    counts = np.zeros((stringers, machines), dtype=np.int64)
    for s, row in enumerate(hours):
        for m, spans in enumerate(row):
            counts[s, m] = len(spans)
            for w, span in enumerate(spans):
                windows[s * machines + m, w] = span
    return windows, counts


def true_columns_first(mask: NDArray[np.bool_]) -> Ints:
    """Give for each row the numbers of its true columns, then those of the others."""
    return np.argsort(~mask, axis=1, kind="stable").astype(np.int64)


def _job_table(workload: Workload, points: Points, jobs: Sequence[Job], names: Names) -> Ints:
    players = {name: i for i, name in enumerate(names.players)}
    rows = np.zeros((len(jobs), layout.JOB_COLUMNS), dtype=np.int64)
    for row, j in zip(rows, jobs, strict=True):
        row[layout.READY] = earliest_start(workload, j)
        row[layout.ORIGIN] = j.ready_from
        row[layout.DUE] = FAR if j.due is None else j.due
        row[layout.LATE] = points.late * j.weight
        row[layout.PROMISED] = FAR if j.promised is None else j.promised
        row[layout.PLAYER] = players[j.player]
        row[layout.LEFT_OUT] = leaving_out_cost(workload, j, points)
    return rows


def _point_table(points: Points) -> Ints:
    table = np.zeros(5, dtype=np.int64)
    table[layout.CAP] = FAR if points.late_cap is None else points.late_cap
    table[layout.PROMISE] = points.promise
    table[layout.WAITING] = points.waiting
    table[layout.EXTRA_STRINGER] = points.extra_stringer
    table[layout.EXTRA_MACHINE] = points.extra_machine
    return table


def _fixed_costs(workload: Workload, points: Points, jobs: Sequence[Job], minutes: Ints) -> Ints:
    fixed = points.over_target * np.maximum(0, minutes - workload.target_minutes)
    for row, j in zip(fixed, jobs, strict=True):
        if j.planned_stringer is not None:
            for i, s in enumerate(workload.stringers):
                row[i] += points.moved * (s.id != j.planned_stringer)
    return fixed.astype(np.int64)


def _away_costs(workload: Workload, points: Points) -> Ints:
    def cost(stringer: Stringer, machine: str) -> int:
        return points.away if stringer.home not in (None, machine) else 0

    rows = [[cost(s, m.id) for m in workload.machines] for s in workload.stringers]
    return _table(rows, len(workload.stringers), len(workload.machines))


def _first_free(workload: Workload, names: Names) -> Ints:
    free = np.ones((len(names.players), 2), dtype=np.int64)
    for i, player in enumerate(names.players):
        past = workload.history.get(player)
        if past is not None:
            free[i] = (int(not past.stringers), int(not past.machines))
    return free
