"""The memory of one search: setting it up, putting a plan in, reading one out."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.search.kernels.layout import NONE, THRESHOLD_UNIT, THRESHOLDS, Search
from solver.search.kernels.memory import Ints, cell_dtype, words
from solver.search.kernels.trial import seeded
from solver.search.shapes import shapes
from solver.search.tables import Names, Records, to_tables, true_columns_first
from solver.search.turn_rows import in_turns

_EARLY = 60
"""Minutes before its due time at which a job that is new takes its turn."""


class State:
    """A plan under search: `tables` by name, and the `record` that holds numbers and where the tables are."""

    def __init__(self, workload: Workload, points: Points, seed: int) -> None:
        known, self.names = to_tables(workload, points)
        names, fields = self.names, words(Search)
        shape_of = shapes(
            jobs=len(names.jobs),
            stringers=len(names.stringers),
            machines=len(names.machines),
            players=len(names.players),
            kinds=len(names.kinds),
            windows=len(known["windows"]),
            end_points=len(known["end_points"]),
            turns=len(known["turns"]),
        )
        self.tables: dict[str, Records] = {name: _empty_table(name, shape) for name, shape in shape_of.items()}
        for name, table in known.items():
            self.tables[name][:] = table
        self.record: Ints = np.zeros(2 * len(fields), dtype=np.int64)
        for name, table in self.tables.items():
            at, _ = fields[name]
            self.record[at : at + 2] = table.ctypes.data, table.shape[-1]
        self.tables["thresholds"][:] = _thresholds()
        self._set_numbers(points, seed)
        _count_past(workload, names, self.tables)
        self._leave_all_out()
        self.own_all()

    def __getitem__(self, name: str) -> int:
        """Give a number of the record."""
        return int(self.record[words(Search)[name][0]])

    def __setitem__(self, name: str, value: int) -> None:
        """Set a number of the record."""
        self.record[words(Search)[name][0]] = value

    @property
    def best_total(self) -> int:
        """Give the points of the best plan, but for the racquets that are started."""
        return self["best_total"]

    def _set_numbers(self, points: Points, seed: int) -> None:
        self["nobody"], self["job_count"] = len(self.names.stringers), len(self.names.jobs)
        self["turn_count"] = len(self.tables["turns"])
        for name in ("extra_stringer", "extra_machine", "extra_kind", "stale", "waiting"):
            self[name] = getattr(points, name)
        self["random"], self["flipped"] = seeded(seed), NONE

    def own(self, jobs: NDArray[np.bool_], stringers: NDArray[np.bool_]) -> None:
        """Let moves touch only these jobs and stringers, masks over all of them; a job that none may take is left."""
        may = (self.tables["fits"]["minutes"] > 0) & stringers
        jobs = jobs & may.any(axis=1)
        owned = np.flatnonzero(jobs)
        self.tables["may"][:] = true_columns_first(may)
        self.tables["jobs"]["stringers"] = may.sum(axis=1)
        self.tables["jobs"]["is_owned"] = jobs
        self.tables["owned"][: len(owned)] = owned
        self["owned_count"] = len(owned)

    def own_all(self) -> None:
        """Let moves touch everything."""
        self.own(np.ones(len(self.names.jobs), dtype=np.bool_), np.ones(len(self.names.stringers), dtype=np.bool_))

    def give(self, assignments: Iterable[Assignment]) -> None:
        """Write the places of a plan for the kernel `build`; what is unknown is left out."""
        given = self.tables["given"]
        given[:] = np.zeros((), given.dtype)
        given["stringer"] = len(self.names.stringers)
        jobs, stringers, machines = self.names.numbers()
        for a in assignments:
            if a.job in jobs:
                row = given[jobs[a.job]]
                row["start"], row["end"] = a.start, a.end
                if a.stringer in stringers and a.machine in machines:
                    row["stringer"], row["machine"] = stringers[a.stringer], machines[a.machine]
        self.order_by_start()

    def give_order(self, assignments: Iterable[Assignment]) -> None:
        """Write benches and order of an earlier plan for the kernel `build`; new jobs come by their due time."""
        self.give(assignments)
        jobs, given = self.tables["jobs"], self.tables["given"]
        by_due = np.maximum(jobs["ready"], jobs["due"] - _EARLY)
        self.put_in_sequence(np.where(given["end"] > 0, given["start"], by_due))

    def give_places(self, places: Records) -> None:
        """Write places for the kernel `build`."""
        self.tables["given"][:] = places
        self.order_by_start()

    def order_by_start(self) -> None:
        """Put the jobs into the sequence of their given starts."""
        self.put_in_sequence(self.tables["given"]["start"])

    def put_in_sequence(self, keys: Ints) -> None:
        """Put the jobs into the sequence of their keys, as far as their turns allow it."""
        sequence = np.argsort(keys, kind="stable")
        if len(self.tables["turns"]):
            sequence = in_turns(sequence, self.tables["turns"])
        self.tables["sequence"][:] = sequence

    def assignments(self) -> tuple[list[Assignment], list[str]]:
        """Give the best plan's assignments but the started ones, and the ids of the jobs left out."""
        found: list[Assignment] = []
        left_out = list(self.names.hopeless)
        best = self.tables["best"][["stringer", "machine", "start", "end"]].tolist()
        for name, (stringer, machine, start, end) in zip(self.names.jobs, best, strict=True):
            if stringer == len(self.names.stringers) or end <= start:
                left_out.append(name)
                continue
            who, where = self.names.stringers[stringer], self.names.machines[machine]
            found.append(Assignment(job=name, stringer=who, machine=where, start=start, end=end))
        return found, left_out

    def _leave_all_out(self) -> None:
        places, left_out = self.tables["places"], self.tables["jobs"]["left_out"]
        nobody = len(self.names.stringers)
        places["stringer"], places["cost"] = nobody, left_out
        places["position"] = self.tables["order"][nobody, :] = np.arange(len(places))
        places["machine"] = places["trial_machine"] = NONE
        self.tables["team"]["jobs"][nobody] = len(places)
        self["total"] = self["best_total"] = int(left_out.sum())
        self.tables["best"][:] = places


def _empty_table(name: str, shape: tuple[int, ...]) -> Records:
    return np.zeros(shape, cell_dtype(Search, name))


def _thresholds() -> Ints:
    middles = (np.arange(THRESHOLDS) + 0.5) / THRESHOLDS
    return (-np.log(middles) * THRESHOLD_UNIT).astype(np.int64)


def _count_past(workload: Workload, names: Names, tables: dict[str, Records]) -> None:
    """Count history (never new) and the started racquets, which stay as they are."""
    players = {name: i for i, name in enumerate(names.players)}
    _, stringers, machines = names.numbers()
    kind_of = tables["machines"]["kind"]
    for player, past in workload.history.items():
        if player in players:
            known = [machines[name] for name in set(past.machines) & machines.keys()]
            kinds = {int(kind_of[k]) for k in known} - {NONE}
            tables["stringer_use"][players[player], [stringers[n] for n in set(past.stringers) & stringers.keys()]] += 1
            tables["machine_use"][players[player], known] += 1
            tables["kind_use"][players[player], list(kinds)] += 1
    for job in workload.jobs:
        if job.started is not None:
            machine = machines[job.started.machine]
            counted = (("stringer", stringers[job.started.stringer]), ("machine", machine), ("kind", kind_of[machine]))
            for what, number in counted:
                if number != NONE:
                    use = tables[f"{what}_use"][players[job.player]]
                    tables["players"][f"{what}s"][players[job.player]] += int(use[number] == 0)
                    use[number] += 1
