"""A workload as records and tables of whole numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver.contract.calendar import Calendar
from solver.contract.end_points import end_points
from solver.contract.points import Points
from solver.contract.workload import (
    Job,
    Span,
    Workload,
    bench_minutes,
    earliest_start,
    kinds_of,
    may_hold,
    may_string,
    waits_from,
)
from solver.judge.costs import leaving_out_cost
from solver.search.kernels.layout import FAR, NONE, Bench, Fit, Machine, Player, Stringer, Window
from solver.search.kernels.layout import Job as JobRecord
from solver.search.kernels.memory import Ints, record_dtype
from solver.search.turn_rows import turns_of

Records = NDArray[Any]
"""An array whose columns have the names of a record's fields."""
_LATEST = 1 << 39


@dataclass(frozen=True, kw_only=True)
class Names:
    """What the rows of the tables stand for; `jobs` are those that are searched over."""

    jobs: tuple[str, ...]
    hopeless: tuple[str, ...]
    stringers: tuple[str, ...]
    machines: tuple[str, ...]
    players: tuple[str, ...]
    kinds: tuple[str, ...]

    def numbers(self) -> tuple[dict[str, int], dict[str, int], dict[str, int]]:
        """Give the rows of jobs, stringers and machines by id."""
        jobs, stringers, machines = (
            {name: i for i, name in enumerate(ids)} for ids in (self.jobs, self.stringers, self.machines)
        )
        return jobs, stringers, machines


def to_tables(workload: Workload, points: Points) -> tuple[dict[str, Records], Names]:
    """Translate a workload; started racquets become gaps in the hours of their bench.

    Returns
    -------
    dict of str to array
        The tables of `layout.Search` that do not change during a search.
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
        kinds=tuple(sorted(kinds_of(workload, workload.machine_by_id))),
    )
    allowed = _table([[j.allows_machine(m) for m in names.machines] for j in jobs], len(jobs), len(names.machines))
    tables: dict[str, Records] = {"allowed": allowed, "where": true_columns_first(allowed > 0)}
    tables["jobs"], tables["end_points"] = _jobs(workload, points, jobs, names)
    tables["jobs"]["machines"] = allowed.sum(axis=1)
    tables["fits"] = _fits(workload, points, jobs, [minutes_of[j.id] for j in jobs])
    tables["benches"], tables["windows"] = _benches(workload, points, hours)
    tables["team"], tables["machines"] = _hosts(workload, names)
    tables["player_jobs"] = np.argsort(tables["jobs"]["player"], kind="stable").astype(np.int64)
    tables["turns"] = turns_of(jobs)
    tables["players"] = _players(workload, names, tables["jobs"]["player"])
    return tables, names


def true_columns_first(mask: NDArray[np.bool_]) -> Ints:
    """Give for each row the numbers of its true columns, then those of the others."""
    return np.argsort(~mask, axis=1, kind="stable").astype(np.int64)


def _table(rows: Sequence[Sequence[int]], height: int, width: int) -> Ints:
    return np.array(rows, dtype=np.int64).reshape(height, width)


def _common_hours(workload: Workload) -> list[list[list[Span]]]:
    """Give the hours of each stringer at each machine; most benches share theirs, which are cut only once."""
    calendar, earliest = Calendar(workload), [(workload.now, _LATEST)]
    mine = [tuple(_common_windows(calendar.stringers[s.id].spans, earliest)) for s in workload.stringers]
    its = [tuple(calendar.machines[m.id].spans) for m in workload.machines]
    common = cache(_common_windows)
    return [[common(own, hours) for hours in its] for own in mine]


def _common_windows(mine: Sequence[Span], its: Sequence[Span]) -> list[Span]:
    """Give the stretches that lie in one window of both, by start."""
    both = [(max(a, c), min(b, d)) for a, b in mine for c, d in its if max(a, c) < min(b, d)]
    return sorted(set(both))


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


def _jobs(workload: Workload, points: Points, jobs: Sequence[Job], names: Names) -> tuple[Records, Ints]:
    """Give the jobs' records and what they cost by end, written once for jobs that cost alike."""
    players = {name: i for i, name in enumerate(names.players)}
    rows = np.zeros(len(jobs), dtype=record_dtype(JobRecord))
    rows_of: dict[int, int] = {}
    values: list[Ints] = []
    for row, j in zip(rows, jobs, strict=True):
        its = end_points(workload, j, points)
        if id(its.values) not in rows_of:
            rows_of[id(its.values)] = sum(map(len, values))
            values.append(its.values)
        row["row"], row["first"] = rows_of[id(its.values)], its.first
        row["minutes"], row["slope"] = len(its.values), its.slope
        row["ready"], row["waits_from"] = earliest_start(workload, j), waits_from(j)
        row["fresh_from"] = -FAR if j.fresh_from is None else j.fresh_from
        row["starts_from"] = max(row["ready"], row["fresh_from"])
        row["due"] = FAR if j.due is None else j.due
        row["wanted"] = min(row["due"], FAR if j.promised is None else j.promised)
        row["player"] = players[j.player]
        row["left_out"] = leaving_out_cost(workload, j, points)
    return rows, np.concatenate([np.zeros(0, np.int64), *values])


def _fits(workload: Workload, points: Points, jobs: Sequence[Job], minutes: Sequence[Sequence[int]]) -> Records:
    fits = np.zeros((len(jobs), len(workload.stringers)), dtype=record_dtype(Fit))
    for row, j, lengths in zip(fits, jobs, minutes, strict=True):
        row["minutes"] = lengths
        row["points"] = points.over_target * np.maximum(0, row["minutes"] - workload.target_minutes)
        if j.planned_stringer is not None:
            row["points"] += [points.moved * (s.id != j.planned_stringer) for s in workload.stringers]
    return fits


def _benches(workload: Workload, points: Points, hours: list[list[list[Span]]]) -> tuple[Records, Records]:
    benches = np.zeros((len(workload.stringers), len(workload.machines)), dtype=record_dtype(Bench))
    windows: list[Span] = []
    for i, (stringer, row) in enumerate(zip(workload.stringers, hours, strict=True)):
        for k, (machine, spans) in enumerate(zip(workload.machines, row, strict=True)):
            away = points.away if stringer.home not in (None, machine.id) else 0
            benches[i, k] = len(windows), len(windows) + len(spans), away
            windows += spans
    return benches, np.array(windows, dtype=record_dtype(Window))


def _hosts(workload: Workload, names: Names) -> tuple[Records, Records]:
    """Give each stringer a bench: home, or a machine nobody calls home; and each bench one host."""
    numbers = {name: i for i, name in enumerate(names.machines)}
    kinds = {name: i for i, name in enumerate(names.kinds)}
    team = np.zeros(len(names.stringers) + 1, dtype=record_dtype(Stringer))
    team["bench"] = team["slot"] = NONE
    machines = np.zeros(len(names.machines), dtype=record_dtype(Machine))
    machines["host"] = NONE
    machines["kind"] = [NONE if m.kind is None else kinds[m.kind] for m in workload.machines]
    for i, s in enumerate(workload.stringers):
        if s.home in numbers:
            team["bench"][i] = bench = numbers[s.home]
            if machines["host"][bench] == NONE:
                machines["host"][bench] = i
    spare = [k for k in range(len(machines)) if machines["host"][k] == NONE]
    for i in range(len(names.stringers)):
        if team["bench"][i] == NONE and spare:
            team["bench"][i] = spare.pop(0)
            machines["host"][team["bench"][i]] = i
    return team, machines


def _players(workload: Workload, names: Names, player_of_job: Ints) -> Records:
    players = np.zeros(len(names.players), dtype=record_dtype(Player))
    edges = np.searchsorted(np.sort(player_of_job), np.arange(len(names.players) + 1))
    players["first"], players["last"] = edges[:-1], edges[1:]
    for row, player in zip(players, names.players, strict=True):
        past = workload.history.get(player)
        stringers, machines = (past.stringers, past.machines) if past else ((), ())
        row["free_stringers"], row["free_machines"] = not stringers, not machines
        row["free_kinds"] = not kinds_of(workload, machines)
    return players
