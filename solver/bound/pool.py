"""All stringers as one pool: a small problem whose prices are near those of each stringer's minutes.

Its prices are where the bound begins to climb; they are no bound themselves, so a rough solution is enough.
"""

import numpy as np
from numpy.typing import NDArray

from solver.bound.table import FIXED, LENGTH, STRINGER, Ints, Table

Floats = NDArray[np.float64]


def pooled(table: Table) -> Table:
    """Give the table of the same jobs with all stringers as one, of their mean pace, many-handed."""
    stringers = table.new_price.shape[1]
    spans = _stretches(table.hours[:stringers].sum(axis=0) > 0)
    jobs = len(table.jobs)
    places = np.zeros((jobs, 6), np.int64)
    for job in range(jobs):
        rows = table.places[table.place_from[job] : table.place_from[job + 1]]
        if len(rows):
            places[job] = [0, 0, round(rows[:, LENGTH].mean()), rows[:, FIXED].min(), 0, len(spans)]
        else:
            places[job] = [0, 0, 1, 0, 0, 0]
    speeds = _speeds(table)
    hands = np.rint(speeds @ table.hours[:stringers]).astype(np.int64)
    return table._replace(
        place_from=np.arange(jobs + 1),
        places=places,
        lanes=np.array([[0, -1]]),
        spans=spans,
        new_price=np.zeros((len(table.first_free), 1), np.int64),
        first_free=np.zeros_like(table.first_free),
        hours=hands[np.newaxis],
    )


def shared_out(prices: Ints, average: Floats | None, pool: Table, table: Table) -> tuple[Ints, Floats]:
    """Give each stringer the pool's prices, a fast one's minutes dearer, and a share of its work."""
    stringers = table.new_price.shape[1]
    out, work = np.zeros(table.hours.shape), np.zeros(table.hours.shape)
    out[:stringers] = np.outer(_speeds(table), prices[0]) * table.hours[:stringers]
    if average is not None:
        work[:stringers] = average[0] / np.maximum(pool.hours[0], 1) * table.hours[:stringers]
    return np.rint(out).astype(np.int64), work


def _speeds(table: Table) -> Floats:
    """Give each stringer's speed against the mean of those who may take the same jobs."""
    stringers = table.new_price.shape[1]
    taken, count = np.zeros(stringers), np.zeros(stringers)
    for job in range(len(table.jobs)):
        rows = table.places[table.place_from[job] : table.place_from[job + 1]]
        if len(rows):
            np.add.at(taken, rows[:, STRINGER], rows[:, LENGTH].mean() / rows[:, LENGTH])
            np.add.at(count, rows[:, STRINGER], 1)
    return np.where(count > 0, taken / np.maximum(count, 1), 1.0)


def _stretches(is_open: NDArray[np.bool_]) -> Ints:
    edges = np.diff(np.concatenate([[0], is_open.astype(np.int64), [0]]))
    return np.stack([np.flatnonzero(edges > 0), np.flatnonzero(edges < 0)], axis=1).astype(np.int64)
