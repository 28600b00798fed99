"""Reading a workload: every fault is found and named by its path before anything is planned."""

import itertools
import json
from collections.abc import Callable, Container, Mapping
from pathlib import Path
from typing import Any

from solver.contract.fields import Faults, Fields, list_of_ids, windows_of
from solver.contract.in_turn import circles
from solver.contract.points import HEADINGS, Points
from solver.contract.workload import History, Job, Machine, Started, Stringer, Workload

MOST_MINUTES = 100_000
MOST_WEIGHT = 10_000
MOST_PACE = 10_000
MOST_SPREAD = 100
MOST_POINTS = 1_000_000


class WorkloadError(ValueError):
    """A workload that cannot be planned; `faults` holds a sentence for each fault, with its path."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


def read_workload(source: Mapping[str, Any] | str | Path) -> Workload:
    """Read a workload from a dict or from a JSON file.

    Parameters
    ----------
    source : mapping, str or Path
        The workload itself, or the path of its file.

    Returns
    -------
    Workload

    Raises
    ------
    WorkloadError
        With every fault found, each with its path, such as ``jobs[3].due``.
    """
    data = _load(Path(source)) if isinstance(source, (str, Path)) else source
    faults: Faults = []
    workload = _workload(data, faults)
    if not faults:
        faults += _unknown_names(workload) + _double_started(workload) + circles(workload)
    if faults:
        raise WorkloadError(faults)
    return workload


def _load(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=_without_doubles)
    except OSError as error:
        raise WorkloadError([f"{path}: cannot be read ({error.strerror or error})."]) from error
    except (ValueError, RecursionError) as error:
        raise WorkloadError([f"{path}: is no JSON file ({error})."]) from error


def _without_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse an object which gives one key twice: the reader would silently keep the second."""
    out = dict(pairs)
    if len(out) < len(pairs):
        twice = sorted({key for key, _ in pairs if [k for k, _ in pairs].count(key) > 1})
        raise ValueError(f"key given twice: {', '.join(twice)}")
    return out


def _workload(data: Any, faults: Faults) -> Workload:
    fields = Fields(data, "", faults)
    workload = Workload(
        name=fields.text("name", default="", may_be_empty=True) or "",
        now=fields.whole("now", default=0, least=0) or 0,
        target_minutes=fields.whole("target_minutes", default=30, least=1) or 1,
        spread=fields.whole("spread", default=0, least=0, most=MOST_SPREAD) or 0,
        points=_points(fields),
        stringers=_each(fields, "stringers", _stringer),
        machines=_each(fields, "machines", _machine),
        jobs=_each(fields, "jobs", _job),
        history=_history(fields.take("history", default={}), faults),
    )
    fields.refuse_the_rest()
    return workload


def _each(fields: Fields, key: str, read: Callable[[Fields], Any]) -> tuple[Any, ...]:
    """Read every entry of a list of objects and report ids that come twice."""
    out, first_place = [], dict[str, str]()
    for entry in fields.entries(key):
        item = read(entry)
        entry.refuse_the_rest()
        if item.id and item.id in first_place:
            entry.fault("id", f"{item.id!r} is the id of {first_place[item.id]} already; give each its own.")
        first_place.setdefault(item.id, entry.path)
        out.append(item)
    return tuple(out)


def _stringer(fields: Fields) -> Stringer:
    return Stringer(
        id=fields.text("id") or "",
        pace=fields.whole("pace", default=100, least=1, most=MOST_PACE) or 1,
        home=fields.text("home", default=None),
        windows=windows_of(fields, "windows", required=True) or (),
    )


def _machine(fields: Fields) -> Machine:
    return Machine(
        id=fields.text("id") or "",
        kind=fields.text("kind", default=None),
        windows=windows_of(fields, "windows") or None,
    )


def _points(fields: Fields) -> Points:
    """Read prices by heading; those that are not given are the usual ones."""
    given = Fields(fields.take("points", default={}), "points", fields.faults)
    prices = {heading: given.whole(heading, default=None, least=0, most=MOST_POINTS) for heading in HEADINGS}
    given.refuse_the_rest()
    return Points(**{heading: price for heading, price in prices.items() if price is not None})


def _job(fields: Fields) -> Job:
    pinned = Fields(fields.take("pinned", default={}), fields.at("pinned"), fields.faults)
    job = Job(
        id=fields.text("id") or "",
        player=fields.text("player") or "",
        minutes=fields.whole("minutes", least=1, most=MOST_MINUTES) or 1,
        ready_from=fields.whole("ready_from", default=0, least=0) or 0,
        fresh_from=fields.whole("fresh_from", default=None, least=0),
        due=fields.whole("due", default=None),
        latest=fields.whole("latest", default=None, least=0),
        weight=fields.whole("weight", default=1, least=0, most=MOST_WEIGHT) or 0,
        promised=fields.whole("promised", default=None),
        planned_stringer=fields.text("planned_stringer", default=None),
        pinned_stringer=pinned.text("stringer", default=None),
        pinned_machine=pinned.text("machine", default=None),
        stringers=list_of_ids(fields, "stringers"),
        machines=list_of_ids(fields, "machines"),
        after=list_of_ids(fields, "after") or (),
        started=_started(fields),
    )
    pinned.refuse_the_rest()
    return job


def _started(fields: Fields) -> Started | None:
    data = fields.take("started", default=None)
    if data is None:
        return None
    inner = Fields(data, fields.at("started"), fields.faults)
    started = Started(
        stringer=inner.text("stringer") or "",
        machine=inner.text("machine") or "",
        start=inner.whole("start") or 0,
        end=inner.whole("end") or 0,
    )
    if inner.is_object and not inner.has_faults and started.end <= started.start:
        inner.fault("end", f"ends at {started.end}, not after its start at {started.start}.")
    inner.refuse_the_rest()
    return started


def _history(data: Any, faults: Faults) -> dict[str, History]:
    fields = Fields(data, "history", faults)
    out = {}
    for player in fields.names():
        past = Fields(fields.take(player), fields.at(player), faults)
        out[player] = History(
            stringers=list_of_ids(past, "stringers") or (), machines=list_of_ids(past, "machines") or ()
        )
        past.refuse_the_rest()
    return out


def _unknown_names(workload: Workload) -> list[str]:
    """Name the references to nobody.

    `history` and `planned_stringer` tell the past and may name a stringer or machine that is gone.
    """
    stringers, machines = workload.stringer_by_id, workload.machine_by_id
    found: list[tuple[str, str | None, Container[str], str]] = []
    for i, s in enumerate(workload.stringers):
        found.append((f"stringers[{i}].home", s.home, machines, "machine"))
    for i, job in enumerate(workload.jobs):
        at = f"jobs[{i}]"
        found.append((f"{at}.pinned.stringer", job.pinned_stringer, stringers, "stringer"))
        found.append((f"{at}.pinned.machine", job.pinned_machine, machines, "machine"))
        found += [(f"{at}.stringers[{k}]", n, stringers, "stringer") for k, n in enumerate(job.stringers or ())]
        found += [(f"{at}.machines[{k}]", n, machines, "machine") for k, n in enumerate(job.machines or ())]
        found += [(f"{at}.after[{k}]", n, workload.job_by_id, "job") for k, n in enumerate(job.after)]
        if job.started is not None:
            found.append((f"{at}.started.stringer", job.started.stringer, stringers, "stringer"))
            found.append((f"{at}.started.machine", job.started.machine, machines, "machine"))
    return [
        f"{path}: there is no {kind} {name!r} in this workload."
        for path, name, known, kind in found
        if name is not None and name not in known
    ]


def _double_started(workload: Workload) -> list[str]:
    """Name the started jobs that share a stringer or a machine at one time: no plan can hold both."""
    out = []
    for kind in ("stringer", "machine"):
        spans = sorted(
            (getattr(job.started, kind), job.started.start, job.started.end, i, job.id)
            for i, job in enumerate(workload.jobs)
            if job.started is not None
        )
        for (who, _, end, _, first), (other, start, _, i, _) in itertools.pairwise(spans):
            if who == other and start < end:
                out.append(f"jobs[{i}].started: {kind} {who} has {first} until {end}; correct one of the two.")
    return out
