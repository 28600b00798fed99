"""What is played: the racquets of a day, the team that strings them, what fails; and how it went."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from solver.contract.workload import Machine, Span, Stringer, Workload, minutes_within
from solver.rehearsal.table_columns import NEVER

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
MOST_BENCHES = 60
"""Stringers, and machines, that one day may have: each set of them is kept in the bits of a whole number."""


@dataclass(frozen=True, kw_only=True)
class Racquets:
    """The racquets of a day, one entry of each array a racquet; times are whole minutes from one origin.

    Parameters
    ----------
    known, ready, fresh : arrays of int
        When it is handed in; the earliest start; the earliest start that the player would like.
    due, latest : arrays of int
        Needed by, and when it is truly too late; `NEVER` for none.
    weight, minutes, player : arrays of int
        What a minute late counts; bench minutes at pace 100; the player's number from 0.
    factor : array of float
        True bench minutes as a multiple of the expected ones.
    who_may, where_may : arrays of int, optional
        Bit sets of stringers and machines; absent: anyone, anywhere.
    moves : array of int, shape (k, 4)
        Later news of needed-by times, in order of time: minute, racquet, due, latest.
    """

    known: Ints
    ready: Ints
    fresh: Ints
    due: Ints
    latest: Ints
    weight: Ints
    minutes: Ints
    player: Ints
    factor: Floats
    who_may: Ints | None = None
    where_may: Ints | None = None
    moves: Ints = field(default_factory=lambda: np.zeros((0, 4), np.int64))

    def __len__(self) -> int:
        return len(self.known)


@dataclass(frozen=True, kw_only=True, slots=True)
class Outage:
    """A machine that fails or a stringer who leaves, from a minute on until another; nobody knows before."""

    machine: str | None = None
    stringer: str | None = None
    start: int
    end: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Team:
    """Stringers at machines."""

    name: str
    stringers: tuple[Stringer, ...]
    machines: tuple[Machine, ...]

    def __post_init__(self) -> None:
        """Refuse what the bits of a whole number cannot hold."""
        if max(len(self.stringers), len(self.machines)) > MOST_BENCHES:
            raise ValueError(f"{self.name}: at most {MOST_BENCHES} stringers and machines can be rehearsed.")

    def hours(self, start: int, end: int) -> int:
        """Give the stringer minutes on shift between two minutes."""
        return sum(minutes_within(s.windows, start, end) for s in self.stringers)


@dataclass(frozen=True, kw_only=True)
class Day:
    """One day: its racquets, each player's own stringers and machines by player number, and what fails."""

    racquets: Racquets
    own_stringers: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    own_machines: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    outages: tuple[Outage, ...] = ()
    now: int = 0
    seed: int = 0


@dataclass(frozen=True, kw_only=True)
class PlayedDay:
    """How a day went, one entry a racquet; -1 for what was not strung.

    `told` is the end that the plan foresaw when the racquet came, `promised` what the player was told
    (`NEVER`: nothing), `due` and `latest` as they stood at its end.
    """

    start: Ints
    end: Ints
    stringer: Ints
    machine: Ints
    told: Ints
    promised: Ints
    due: Ints
    latest: Ints

    @property
    def strung(self) -> npt.NDArray[np.bool_]:
        """Whether each racquet was strung."""
        return self.end >= 0


def day_of_workload(workload: Workload, factor: Sequence[float] | Floats, *, seed: int = 0) -> tuple[Day, Team]:
    """Give a workload as a day that is played: each racquet becomes known at `ready_from`.

    Parameters
    ----------
    factor : sequence of float
        True bench minutes of each job as a multiple of the expected ones.
    """
    jobs = workload.jobs
    players = {name: i for i, name in enumerate(dict.fromkeys(job.player for job in jobs))}
    ready = _ints(job.ready_from for job in jobs)
    due = _ints(NEVER if job.due is None else job.due for job in jobs)
    stringers, machines = list(workload.stringer_by_id), list(workload.machine_by_id)
    racquets = Racquets(
        known=ready,
        ready=ready,
        fresh=_ints(job.ready_from if job.fresh_from is None else job.fresh_from for job in jobs),
        due=due,
        latest=np.maximum(due, _ints(job.latest or 0 for job in jobs)),
        weight=_ints(job.weight for job in jobs),
        minutes=_ints(job.minutes for job in jobs),
        player=_ints(players[job.player] for job in jobs),
        factor=np.array(factor, np.float64),
        who_may=_ints(_bits(stringers, [s for s in stringers if job.allows_stringer(s)]) for job in jobs),
        where_may=_ints(_bits(machines, [m for m in machines if job.allows_machine(m)]) for job in jobs),
    )
    past = {players[p]: h for p, h in workload.history.items() if p in players}
    day = Day(
        racquets=racquets,
        own_stringers={p: h.stringers for p, h in past.items()},
        own_machines={p: h.machines for p, h in past.items()},
        now=workload.now,
        seed=seed,
    )
    return day, Team(name=workload.name, stringers=workload.stringers, machines=workload.machines)


def _bits(names: list[str], some: Sequence[str]) -> int:
    return sum(1 << names.index(name) for name in some)


def _ints(values: object) -> Ints:
    return np.fromiter(values, np.int64)  # type: ignore[call-overload, no-any-return]


def windows_less(windows: Sequence[Span], gaps: Sequence[Span]) -> list[Span]:
    """Give windows with gaps cut out."""
    left = sorted(windows)
    for start, end in gaps:
        cut: list[Span] = []
        for a, b in left:
            cut += [(x, y) for x, y in ((a, min(b, start)), (max(a, end), b)) if x < y]
        left = cut
    return left
