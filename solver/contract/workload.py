"""One moment at a stringing desk: what waits, who and what can string it, what was promised."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NewType

from solver.contract.points import HEADINGS, Points

Minutes = NewType("Minutes", int)
Span = tuple[int, int]
"""Half-open ``[start, end)`` in whole minutes from the workload's origin."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stringer:
    """A person who strings; `pace` is per cent of house time, `home` the usual machine."""

    id: str
    windows: tuple[Span, ...]
    pace: int = 100
    home: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Machine:
    """A stringing machine; without `windows` it is always in service.

    `kind` is how it pulls: a player's racquets from two kinds play differently.  None is not told apart.
    """

    id: str
    kind: str | None = None
    windows: tuple[Span, ...] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Started:
    """A racquet on the machine now: it stands exactly so in every plan."""

    stringer: str
    machine: str
    start: int
    end: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One racquet to string once.

    `minutes` is bench time at pace 100; `ready_from`, `fresh_from`, `due`, `latest` and `promised` are
    minutes from the origin; `weight` is what a minute late counts.  From `due` on it is wanted, at
    `latest` the player may be called; before `fresh_from` it is better not strung.  `stringers` and
    `machines` say who may and where (None: anyone, anywhere); the pins are the desk lead's decision and bind.
    So does `after`: of these jobs, those with the same stringer have ended when this one starts.
    """

    id: str
    player: str
    minutes: int
    ready_from: int = 0
    fresh_from: int | None = None
    due: int | None = None
    latest: int | None = None
    weight: int = 1
    promised: int | None = None
    planned_stringer: str | None = None
    pinned_stringer: str | None = None
    pinned_machine: str | None = None
    stringers: tuple[str, ...] | None = None
    machines: tuple[str, ...] | None = None
    after: tuple[str, ...] = ()
    started: Started | None = None

    def may_go_to(self, stringer: str, machine: str) -> bool:
        """Whether the job's lists and pins allow this stringer at this machine."""
        return self.allows_stringer(stringer) and self.allows_machine(machine)

    def allows_stringer(self, stringer: str) -> bool:
        """Whether the job's list and pin allow this stringer."""
        pinned = self.pinned_stringer in (None, stringer)
        return pinned and (self.stringers is None or stringer in self.stringers)

    def allows_machine(self, machine: str) -> bool:
        """Whether the job's list and pin allow this machine."""
        pinned = self.pinned_machine in (None, machine)
        return pinned and (self.machines is None or machine in self.machines)


@dataclass(frozen=True, kw_only=True, slots=True)
class History:
    """A player's own stringers and machines, from before."""

    stringers: tuple[str, ...] = ()
    machines: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Workload:
    """Everything that a plan depends on; times are whole minutes from one origin.

    `spread` says in per cent how uncertain bench times are: the standard deviation of their logarithm.
    """

    name: str = ""
    now: int = 0
    target_minutes: int = 30
    spread: int = 0
    points: Points = field(default_factory=Points)
    stringers: tuple[Stringer, ...] = ()
    machines: tuple[Machine, ...] = ()
    jobs: tuple[Job, ...] = ()
    history: Mapping[str, History] = field(default_factory=dict)
    stringer_by_id: Mapping[str, Stringer] = field(init=False, repr=False, compare=False)
    machine_by_id: Mapping[str, Machine] = field(init=False, repr=False, compare=False)
    job_by_id: Mapping[str, Job] = field(init=False, repr=False, compare=False)
    in_turn: frozenset[str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Build the look-ups by id once; `in_turn` are the jobs that come after others, and those others."""
        object.__setattr__(self, "stringer_by_id", {s.id: s for s in self.stringers})
        object.__setattr__(self, "machine_by_id", {m.id: m for m in self.machines})
        object.__setattr__(self, "job_by_id", {j.id: j for j in self.jobs})
        after = ((j.id, *j.after) for j in self.jobs if j.after)
        object.__setattr__(self, "in_turn", frozenset(name for names in after for name in names))

    def to_dict(self) -> dict[str, Any]:
        """Give the workload as its file holds it; what is absent there is left out."""
        usual = Points()
        prices = {h: getattr(self.points, h) for h in HEADINGS if getattr(self.points, h) != getattr(usual, h)}
        return {
            "name": self.name,
            "now": self.now,
            "target_minutes": self.target_minutes,
            **({"spread": self.spread} if self.spread else {}),
            **({"points": prices} if prices else {}),
            "stringers": [_stringer_dict(s) for s in self.stringers],
            "machines": [_machine_dict(m) for m in self.machines],
            "jobs": [_job_dict(j) for j in self.jobs],
            "history": {
                player: {"stringers": list(past.stringers), "machines": list(past.machines)}
                for player, past in self.history.items()
            },
        }


def priced(workload: Workload, points: Points) -> Workload:
    """Give the workload with other prices."""
    return workload if workload.points == points else replace(workload, points=points)


def bench_minutes(job: Job, stringer: Stringer) -> int:
    """Give the whole minutes that `stringer` needs for `job`: ``ceil(minutes * pace / 100)``."""
    return -(-job.minutes * stringer.pace // 100)


def earliest_start(workload: Workload, job: Job) -> int:
    """Give the first minute at which `job` may start: `now` and `ready_from` are past."""
    return max(workload.now, job.ready_from)


def late_from(job: Job) -> int | None:
    """Give the time past which a job is truly late: `latest` where that is after `due`; None without `due`."""
    return job.due if job.due is None or job.latest is None else max(job.due, job.latest)


def waits_from(job: Job) -> int:
    """Give the minute from which a job's waiting counts: `ready_from`, or `fresh_from` where that is later."""
    return job.ready_from if job.fresh_from is None else max(job.ready_from, job.fresh_from)


def is_stale(job: Job, start: int) -> bool:
    """Whether a start is earlier than the player wants fresh strings; what is started has no choice."""
    return job.fresh_from is not None and job.started is None and start < job.fresh_from


def kinds_of(workload: Workload, machines: Iterable[str]) -> set[str]:
    """Give the kinds of machines by id, as far as the workload has the machine and tells its kind."""
    known = workload.machine_by_id
    return {kind for name in machines if name in known and (kind := known[name].kind) is not None}


def may_string(workload: Workload, job: Job) -> list[Stringer]:
    """Give the stringers whom the job's list and pin allow, in the workload's order."""
    return [s for s in workload.stringers if job.allows_stringer(s.id)]


def may_hold(workload: Workload, job: Job) -> list[Machine]:
    """Give the machines which the job's list and pin allow, in the workload's order."""
    return [m for m in workload.machines if job.allows_machine(m.id)]


def likeness(workload: Workload, job: Job) -> tuple[object, ...]:
    """Give what makes two jobs exchangeable: all that counts in rules and goals, ids only where turns are kept."""
    return (
        job.id if job.id in workload.in_turn else None,
        *(job.player, job.minutes, job.ready_from, job.fresh_from, job.due, job.latest, job.weight),
        *(job.promised, job.planned_stringer, job.pinned_stringer, job.pinned_machine),
        *(job.stringers, job.machines, job.started),
    )


def inside(start: int, end: int, windows: tuple[Span, ...] | None) -> bool:
    """Whether ``[start, end)`` lies in one of `windows`, whole; None is always, () never."""
    return windows is None or any(a <= start and end <= b for a, b in windows)


def minutes_within(windows: Iterable[Span], since: int, until: int) -> int:
    """Count the minutes of `windows` between two moments."""
    return sum(max(0, min(end, until) - max(start, since)) for start, end in windows)


def _stringer_dict(stringer: Stringer) -> dict[str, Any]:
    out: dict[str, Any] = {"id": stringer.id, "pace": stringer.pace}
    if stringer.home is not None:
        out["home"] = stringer.home
    out["windows"] = [list(span) for span in stringer.windows]
    return out


def _machine_dict(machine: Machine) -> dict[str, Any]:
    out: dict[str, Any] = {"id": machine.id}
    if machine.kind is not None:
        out["kind"] = machine.kind
    if machine.windows is not None:
        out["windows"] = [list(span) for span in machine.windows]
    return out


def _job_dict(job: Job) -> dict[str, Any]:
    out: dict[str, Any] = {"id": job.id, "player": job.player, "minutes": job.minutes}
    out |= {"ready_from": job.ready_from, "weight": job.weight}
    for key in ("fresh_from", "due", "latest", "promised", "planned_stringer"):
        if getattr(job, key) is not None:
            out[key] = getattr(job, key)
    pinned = {"stringer": job.pinned_stringer, "machine": job.pinned_machine}
    if any(pinned.values()):
        out["pinned"] = {key: value for key, value in pinned.items() if value is not None}
    for key in ("stringers", "machines"):
        if getattr(job, key) is not None:
            out[key] = list(getattr(job, key))
    if job.after:
        out["after"] = list(job.after)
    if (s := job.started) is not None:
        out["started"] = {"stringer": s.stringer, "machine": s.machine, "start": s.start, "end": s.end}
    return out
