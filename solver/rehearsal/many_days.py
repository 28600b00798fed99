"""Many days by several teams, over processes: the same days for every team, with progress and time left."""

import os
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, fields
from functools import partial
from multiprocessing import get_context
from typing import TypeVar

from solver.contract.points import Points
from solver.rehearsal.day_and_team import Day, PlayedDay, Team
from solver.rehearsal.one_day import EFFORT_USUAL, play, warm_up

T = TypeVar("T")
MakeDay = Callable[[int], Day]
Summary = Callable[[Day, Team, PlayedDay], T]
CHUNKS_A_WORKER = 25


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """How many days are played, of how many, and the seconds that the rest will take."""

    done: int
    of: int
    seconds_left: float


@dataclass(frozen=True, kw_only=True, slots=True)
class HowPlayed:
    """What `play` is told beside the day and the team."""

    points: Points | None = None
    spread: int = 15
    target_minutes: int = 30
    promises: bool = True
    effort: int = EFFORT_USUAL


def play_many(
    make_day: MakeDay,
    teams: Sequence[Team],
    replications: int,
    summary: Summary[T],
    *,
    how: HowPlayed | None = None,
    workers: int | None = None,
    tell: Callable[[Progress], None] | None = None,
) -> list[list[T]]:
    """Play `replications` days by each team and give what `summary` makes of each.

    Common random numbers: day r is made once, by its number alone, and played by every team, so that
    teams differ by what they are and not by their luck. The same numbers give the same days again.

    Parameters
    ----------
    make_day, summary : callables
        Picklable where there is more than one worker.
    workers : int, optional
        Processes; as many as there are cores when absent. With 1 all is done in this process.
    tell : callable, optional
        Told how far it is; what it raises ends the playing, and what is not begun is left.

    Returns
    -------
    list of list
        By replication, in order, then by team.
    """
    how = how or HowPlayed()
    workers = max(1, min(workers or os.cpu_count() or 1, replications))
    warm_up()
    began = time.perf_counter()
    found: dict[int, list[T]] = {}

    def note(more: dict[int, list[T]]) -> None:
        found.update(more)
        if tell is not None:
            left = (time.perf_counter() - began) / len(found) * (replications - len(found))
            tell(Progress(done=len(found), of=replications, seconds_left=left))

    some = partial(_played, make_day, teams, summary, how)
    if workers == 1:
        for r in range(replications):
            note(some([r]))
    else:
        parts = max(1, min(replications, workers * CHUNKS_A_WORKER))
        _share_out([partial(some, range(part, replications, parts)) for part in range(parts)], workers, note)
    return [found[r] for r in range(replications)]


def _share_out(
    chunks: Sequence[Callable[[], dict[int, list[T]]]], workers: int, note: Callable[[dict[int, list[T]]], None]
) -> None:
    """Play chunks of days in processes and note each as it comes."""
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
    try:
        for future in as_completed(pool.submit(chunk) for chunk in chunks):
            note(future.result())
    finally:
        pool.shutdown(cancel_futures=True)


def _played(
    make_day: MakeDay, teams: Sequence[Team], summary: Summary[T], how: HowPlayed, numbers: Sequence[int]
) -> dict[int, list[T]]:
    found, told = {}, {one.name: getattr(how, one.name) for one in fields(how)}
    for r in numbers:
        day = make_day(r)
        found[r] = [summary(day, team, play(day, team, **told)) for team in teams]
    return found
