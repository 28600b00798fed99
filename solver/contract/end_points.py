"""What the end of a job costs: late, and past its promise, certain or in the mean.

With a spread the end is normal about the planned one, and minutes past a time are counted in the mean
(the loss function of inventory theory: Hadley and Whitin 1963, Analysis of Inventory Systems, 4-2).
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from solver.contract.points import Points
from solver.contract.workload import Job, Workload, late_from

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Part = tuple[int, float, int | None]
"""A time, the points for a minute past it, and after how many minutes no more is added."""

SOFT = 0.2
"""Of the price of `late`, between `due` and `latest`."""
QUEUE_JOB = 20
"""Minutes of a queue that count as one independent job."""
QUEUE_MOST = 480
"""Minutes ahead after which an end becomes no less certain: breaks let a bench catch up."""
REACH = 9.0
"""Deviations beyond which the mean is, to the last digit, nothing or the plain difference."""
MOST_VALUES = 50_000


@dataclass(frozen=True, slots=True, eq=False)
class EndPoints:
    """Points by end: none before `first`, then `values` by the minute, then `slope` more each minute."""

    first: int
    values: Ints
    slope: int

    def at(self, ends: Ints) -> Ints:
        """Give the points at these ends, minutes after the workload's `now`."""
        where = ends - self.first
        last = len(self.values) - 1
        inside = self.values[np.clip(where, 0, last)] + self.slope * np.maximum(0, where - last)
        out: Ints = np.where(where < 0, 0, inside)
        return out

    def least_from(self, end: int) -> int:
        """Give the least points of any end from this one on; with a great spread a later end may cost a little less."""
        where = end - self.first
        return 0 if where < 0 else int(self.values[min(where, len(self.values) - 1) :].min())


def end_points(workload: Workload, job: Job, points: Points) -> EndPoints:
    """Give the points of `late` and `promise` of a job that ends after `now`, minute by minute.

    Parameters
    ----------
    workload : Workload
        Says the moment and the spread.
    job : Job
        Any job of it.
    points : Points
        What each shortcoming costs.

    Returns
    -------
    EndPoints
        Equal to `late_points` and `promise_points` together at every end after `now`.  Where `latest` lies
        more than `MOST_VALUES` minutes past `due`, less than they are from so many minutes on.
    """
    return points_of_parts(workload, (*late_parts(job, points), *promise_parts(job, points)))


def points_of_parts(workload: Workload, parts: tuple[Part, ...]) -> EndPoints:
    """Give the points of some parts together, as `end_points` does for all of a job."""
    ahead = tuple((wanted - workload.now, price, cap) for wanted, price, cap in parts)
    first, values, slope = _row(workload.spread, ahead)
    return EndPoints(first + workload.now, values, slope)


def later_may_cost_less(workload: Workload) -> bool:
    """Whether a later end may cost a job less, since it is less certain: never from `QUEUE_MOST` minutes ahead on.

    A mean past the time at which the cap is reached loses by a wider spread of the end what it gains by its
    minutes only where that time lies behind, or where the deviation grows by more than a minute in the first one.
    """
    cap = workload.points.late_cap
    if workload.spread == 0 or cap is None:
        return False
    times = (t for job in workload.jobs for t in (late_from(job), job.promised) if t is not None)
    grows = workload.spread / 100 * math.sqrt(QUEUE_JOB) > 1
    return grows or any(t + cap < workload.now for t in times)


def late_points(workload: Workload, job: Job, end: int, points: Points) -> int:
    """Give the points of `late` for an end: a fifth of the price from `due` to `latest`, the whole from then on."""
    return points_at(workload, late_parts(job, points), end)


def promise_points(workload: Workload, job: Job, end: int, points: Points) -> int:
    """Give the points for an end past the promised time."""
    return points_at(workload, promise_parts(job, points), end)


def certain_late_points(job: Job, end: int, points: Points) -> int:
    """Give the points of `late` for an end that is certain."""
    return sum(_rounded(price * _capped(0, 0, end - wanted, cap)) for wanted, price, cap in late_parts(job, points))


def late_parts(job: Job, points: Points) -> tuple[Part, ...]:
    """Give the times past which a job is late, each with its price a minute and its cap."""
    price, latest = points.late * job.weight, late_from(job)
    if job.due is None or latest is None:
        return ()
    whole = (latest, price, points.late_cap)
    return (whole,) if latest == job.due else ((job.due, price * SOFT, latest - job.due), whole)


def promise_parts(job: Job, points: Points) -> tuple[Part, ...]:
    """Give the promised time with its price a minute and its cap."""
    return () if job.promised is None else ((job.promised, points.promise, points.late_cap),)


def points_at(workload: Workload, parts: tuple[Part, ...], end: int) -> int:
    """Give the points of some parts at any one end."""
    ahead = min(QUEUE_MOST, max(0, end - workload.now))
    return sum(_rounded(price * _capped(workload.spread, ahead, end - wanted, cap)) for wanted, price, cap in parts)


def _rounded(points: float) -> int:
    return math.floor(points + 0.5)


def _capped(spread: int, ahead: int, past: int, cap: int | None) -> float:
    mean = _mean(spread, ahead, past)
    return mean if cap is None else mean - _mean(spread, ahead, past - cap)


def _mean(spread: int, ahead: int, past: int) -> float:
    """Give the mean minutes that an end `past` minutes after some time lies past it."""
    if spread == 0 or ahead == 0:
        return max(0, past)
    table = mean_table(spread)
    reach = table.shape[1] // 2
    return float(table[ahead, past + reach]) if -reach <= past <= reach else max(0, past)


@lru_cache(maxsize=8)
def mean_table(spread: int) -> Floats:
    """Give the mean minutes past a time by minutes ahead (rows) and planned minutes past it (columns).

    With s the deviation and z = past / s it is past * Phi(z) + s * phi(z), the middle column being 0 past.
    """
    deviations = [spread / 100 * math.sqrt(QUEUE_JOB * ahead) for ahead in range(QUEUE_MOST + 1)]
    reach = math.ceil(REACH * deviations[-1]) + 1
    past = np.arange(-reach, reach + 1)
    rows = [np.maximum(0, past).astype(np.float64) if s == 0 else _mean_row(past, s) for s in deviations]
    return np.array(rows)


def _mean_row(past: Ints, s: float) -> Floats:
    z = past / s
    erf = np.array([math.erf(x) for x in (z / math.sqrt(2)).tolist()])
    exp = np.array([math.exp(x) for x in (-z * z / 2).tolist()])
    row: Floats = past * 0.5 * (1 + erf) + s * exp / math.sqrt(2 * math.pi)
    return row


@lru_cache(maxsize=4096)
def _row(spread: int, parts: tuple[Part, ...]) -> tuple[int, Ints, int]:
    """Give first minute, values and slope for times counted from `now`."""
    if not parts:
        return 0, np.zeros(1, np.int64), 0
    reach = mean_table(spread).shape[1] // 2
    first = max(1, min(wanted for wanted, _, _ in parts) - reach)
    last = max(first, max(wanted + (cap or 0) for wanted, _, cap in parts) + reach)
    ends = np.arange(first, min(last, first + MOST_VALUES) + 1)
    values = np.zeros(len(ends), np.int64)
    for wanted, price, cap in parts:
        mean = _means(spread, ends, wanted)
        if cap is not None:
            mean = mean - _means(spread, ends, wanted + cap)
        values += np.floor(price * mean + 0.5).astype(np.int64)
    values.flags.writeable = False
    return first, values, sum(round(price) for _, price, cap in parts if cap is None)


def _means(spread: int, ends: Ints, wanted: int) -> Floats:
    table = mean_table(spread)
    reach = table.shape[1] // 2
    past = ends - wanted
    near = table[np.minimum(ends, QUEUE_MOST), np.clip(past, -reach, reach) + reach]
    out: Floats = np.where(np.abs(past) <= reach, near, np.maximum(0, past))
    return out
