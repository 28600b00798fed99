"""The cells of a search: setting them up, putting a plan in, reading one out."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.search import layout
from solver.search.draw import seeded
from solver.search.layout import Ints, Offsets
from solver.search.tables import Names, to_tables, true_columns_first

_EARLY = 60
"""Minutes before its due time at which a job that is new takes its turn."""


class State:
    """A plan under search: `cells` and `of` for the kernels, `views` of the same cells by name."""

    def __init__(self, workload: Workload, points: Points, seed: int) -> None:
        tables, self.names = to_tables(workload, points)
        n, s, m = len(self.names.jobs), len(self.names.stringers), len(self.names.machines)
        p, w = len(self.names.players), tables["windows"].shape[1]
        wanted = layout.shapes(n, s, m, p, w)
        sizes = [int(np.prod(shape)) for shape in wanted.values()]
        begins = np.concatenate([[0], np.cumsum(sizes)]).tolist()
        self.of = Offsets(n, s, m, p, w, *begins[:-1]).as_record()
        self.cells: Ints = np.zeros(begins[-1] + 1, dtype=np.int64)
        self.views: dict[str, Ints] = {
            name: self.cells[begin : begin + size].reshape(shape)
            for (name, shape), begin, size in zip(wanted.items(), begins, sizes, strict=False)
        }
        for name, table in tables.items():
            self.views[name][:] = table
        self.views["thresholds"][:] = _thresholds()
        self.views["random"][:] = seeded(seed)
        _count_past(workload, self.names, self.views)
        _leave_all_out(self.views)
        self.own_all()

    @property
    def total(self) -> int:
        """Give the points of the best plan, but for the racquets that are started."""
        return int(self.views["counters"][layout.BEST])

    def own(self, jobs: NDArray[np.bool_], stringers: NDArray[np.bool_]) -> None:
        """Let moves touch only these jobs and stringers, masks over all of them; a job that none may take is left."""
        may = (self.views["minutes"] > 0) & stringers
        jobs = jobs & may.any(axis=1)
        owned = np.flatnonzero(jobs)
        self.views["may"][:] = true_columns_first(may)
        self.views["jobs"][:, layout.STRINGERS] = may.sum(axis=1)
        self.views["owned"][: len(owned)] = owned
        self.views["is_owned"][:] = jobs
        self.views["counters"][layout.OWNED] = len(owned)

    def own_all(self) -> None:
        """Let moves touch everything."""
        self.own(np.ones(len(self.names.jobs), dtype=np.bool_), np.ones(len(self.names.stringers), dtype=np.bool_))

    def put(self, assignments: Iterable[Assignment]) -> None:
        """Write the places of a plan for the kernel `load`; what is unknown is left out."""
        table = self.views["table"]
        table[:] = 0
        table[:, layout.STRINGER] = len(self.names.stringers)
        jobs, stringers, machines = self.names.numbers()
        for a in assignments:
            if a.job in jobs:
                row = table[jobs[a.job]]
                row[layout.START], row[layout.END] = a.start, a.end
                if a.stringer in stringers and a.machine in machines:
                    row[layout.STRINGER], row[layout.MACHINE] = stringers[a.stringer], machines[a.machine]
        self.sort_table()

    def put_order(self, assignments: Iterable[Assignment]) -> None:
        """Write benches and order of an earlier plan for the kernel `dispatch`; new jobs come by their due time."""
        self.put(assignments)
        jobs, table = self.views["jobs"], self.views["table"]
        by_due = np.maximum(jobs[:, layout.READY], jobs[:, layout.DUE] - _EARLY)
        self.views["sequence"][:] = np.argsort(
            np.where(table[:, layout.END] > 0, table[:, layout.START], by_due), kind="stable"
        )

    def sort_table(self) -> None:
        """Put the jobs into the sequence of their starts in the table."""
        self.views["sequence"][:] = np.argsort(self.views["table"][:, layout.START], kind="stable")

    def assignments(self) -> tuple[list[Assignment], list[str]]:
        """Give the best plan's assignments but the started ones, and the ids of the jobs left out."""
        found: list[Assignment] = []
        left_out = list(self.names.hopeless)
        for name, row in zip(self.names.jobs, self.views["best"].tolist(), strict=True):
            start, end = row[layout.START], row[layout.END]
            if row[layout.STRINGER] == len(self.names.stringers) or end <= start:
                left_out.append(name)
                continue
            stringer = self.names.stringers[row[layout.STRINGER]]
            machine = self.names.machines[row[layout.MACHINE]]
            found.append(Assignment(job=name, stringer=stringer, machine=machine, start=start, end=end))
        return found, left_out


def _thresholds() -> Ints:
    middles = (np.arange(layout.THRESHOLDS) + 0.5) / layout.THRESHOLDS
    return (-np.log(middles) * layout.THRESHOLD_UNIT).astype(np.int64)


def _count_past(workload: Workload, names: Names, views: dict[str, Ints]) -> None:
    """Count history (never a stranger) and the started racquets, which stay as they are."""
    players = {name: i for i, name in enumerate(names.players)}
    _, stringers, machines = names.numbers()
    for player, past in workload.history.items():
        if player in players:
            for name in set(past.stringers) & stringers.keys():
                views["stringer_use"][players[player], stringers[name]] += 1
            for name in set(past.machines) & machines.keys():
                views["machine_use"][players[player], machines[name]] += 1
    for job in workload.jobs:
        if job.started is not None:
            player_number = players[job.player]
            for kind, use, number in (
                (0, views["stringer_use"], stringers[job.started.stringer]),
                (1, views["machine_use"], machines[job.started.machine]),
            ):
                views["strangers"][player_number, kind] += int(use[player_number, number] == 0)
                use[player_number, number] += 1


def _leave_all_out(views: dict[str, Ints]) -> None:
    place, left_out = views["place"], views["jobs"][:, layout.LEFT_OUT]
    nobody = len(views["length"]) - 1
    place[:, layout.STRINGER] = nobody
    place[:, layout.POSITION] = np.arange(len(place))
    place[:, layout.MACHINE] = -1
    place[:, layout.COST] = left_out
    views["order"][nobody, :] = np.arange(len(place))
    views["length"][nobody] = len(place)
    views["machine"][:] = -1
    views["slot_of"][:] = -1
    views["counters"][layout.TOTAL] = views["counters"][layout.BEST] = int(left_out.sum())
    views["best"][:] = place
