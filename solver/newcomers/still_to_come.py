"""Racquets that are still to come: by how much they will push back those that are planned."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from statistics import fmean

from solver.contract.plan import Assignment
from solver.contract.workload import Job, Span, Workload, late_from

COME_BEFORE = 60, 300
"""Minutes before its need at which a racquet comes, any of them as likely as another (common practice)."""
IN_HAND = 60
"""Minutes before its need at which a newcomer is planned to be ready at the latest, where it can."""
NEED_COUNTS = 10
"""Times as much as a minute past its planned end or promise that a minute past the need of a racquet counts."""
FEWEST_DAYS, MOST_DAYS, MOST_RACQUETS = 4, 12, 1_300
"""As many days are drawn as hold `MOST_RACQUETS` racquets together, but no fewer and no more than the first two."""
MOST_BENCHES = 8
"""Benches that are looked at for a newcomer, drawn where there are more."""

Newcomer = tuple[int, int, int, tuple[str, ...] | None]
"""When it comes, how long it takes, when it is needed, and who may take it (None: anybody)."""


@dataclass(slots=True)
class _Turn:
    """A racquet at a bench; `told` is the end that was promised or first planned, `job` empty with a newcomer."""

    start: int
    end: int
    needed: int
    told: int
    job: str


@dataclass(slots=True)
class _Bench:
    """The hours of a stringer and the racquets in turn."""

    windows: list[Span]
    turns: list[_Turn] = field(default_factory=list)

    def start_from(self, at: int, minutes: int) -> int | None:
        """Give the first start from a moment on that lies in the hours."""
        return next((max(a, at) for a, b in self.windows if max(a, at) + minutes <= b), None)

    def place_for(self, newcomer: Newcomer) -> tuple[int, int] | None:
        """Give the last place in turn, and its start, at which a newcomer is in time; else the first; None without."""
        comes, minutes, needed, _ = newcomer
        place = len(self.turns)
        while True:
            may_be_sooner = place > 0 and self.turns[place - 1].start > comes
            start = self.start_from(max(comes, self.turns[place - 1].end if place else 0), minutes)
            if start is not None and (start + minutes <= needed - IN_HAND or not may_be_sooner):
                return place, start
            if not may_be_sooner:
                return None
            place -= 1

    def price_of(self, place: int, start: int, minutes: int, needed: int) -> int:
        """Give the minutes past needs and promises that a newcomer at a place comes to, its own among them."""
        end = start + minutes
        price = NEED_COUNTS * max(0, end - needed)
        for turn in self.turns[place:]:
            if turn.start >= end:
                break
            _, end = self._pushed(turn, end)
            price += max(0, end - max(turn.told, turn.end))
            price += NEED_COUNTS * max(0, end - max(turn.needed, turn.end))
        return price

    def let_in(self, place: int, newcomer: _Turn) -> None:
        """Give a newcomer its place; if it pushes others back, those behind go by their needs from there on."""
        behind = self.turns[place:]
        self.turns[place:] = [newcomer, *behind]
        if behind and behind[0].start < newcomer.end:
            behind.sort(key=lambda turn: turn.needed)
            self.turns[place + 1 :] = behind
            free = newcomer.end
            for turn in behind:
                turn.start, turn.end = self._pushed(turn, free)
                free = turn.end

    def _pushed(self, turn: _Turn, free: int) -> Span:
        """Give start and end of a racquet at a bench that is free from then on, past the hours where they are over."""
        minutes = turn.end - turn.start
        start = self.start_from(free, minutes)
        return (free, free + minutes) if start is None else (start, start + minutes)


def pushed_back(workload: Workload, by_start: Sequence[Assignment], *, seed: int = 0) -> dict[str, float]:
    """Give the minutes by which racquets that are still to come push back those of a plan, in the mean.

    As many again are thought to come as are there, of their lengths and for the same needs: players bring their
    racquets for the matches that others play too. Each goes to the bench where it does least harm, and no sooner
    than it must; behind it the bench goes on by need. Machines are not looked at. Drawn days of `tour` and `small`
    agree with played ones, by the time that a racquet has to spare (DEVELOPERS.md).

    Parameters
    ----------
    workload : Workload
        What is planned.
    by_start : sequence of Assignment
        A plan that keeps every rule, in order of start.
    seed : int
        Where the random numbers begin.

    Returns
    -------
    dict
        Minutes by job, of those that are not begun; 0 or more.
    """
    days = max(FEWEST_DAYS, min(MOST_DAYS, MOST_RACQUETS // max(1, len(by_start))))
    starts = [_starts_of_a_day(workload, by_start, random.Random(seed + day)) for day in range(days)]
    return {
        a.job: max(0.0, fmean(day[a.job] for day in starts) - a.start)
        for a in by_start
        if workload.job_by_id[a.job].started is None
    }


def _starts_of_a_day(workload: Workload, by_start: Sequence[Assignment], chance: random.Random) -> dict[str, int]:
    benches = {s.id: _Bench(sorted(s.windows)) for s in workload.stringers}
    jobs = [workload.job_by_id[a.job] for a in by_start]
    never = max((end for s in workload.stringers for _, end in s.windows), default=workload.now)
    for a, job in zip(by_start, jobs, strict=True):
        turn = _Turn(a.start, a.end, late_from(job) or never, max(a.end, job.promised or 0), a.job)
        benches[a.stringer].turns.append(turn)
    for newcomer in _newcomers(workload.now, jobs, chance):
        _, minutes, needed, may = newcomer
        open_to = [bench for name, bench in benches.items() if may is None or name in may]
        open_to = chance.sample(open_to, min(MOST_BENCHES, len(open_to)))
        found = [(bench, *where) for bench in open_to if (where := bench.place_for(newcomer)) is not None]
        if found:
            bench, place, start = min(found, key=lambda one: (one[0].price_of(*one[1:], minutes, needed), one[2]))
            bench.let_in(place, _Turn(start, start + minutes, needed, start + minutes, ""))
    return {turn.job: turn.start for bench in benches.values() for turn in bench.turns if turn.job}


def _newcomers(now: int, jobs: Sequence[Job], chance: random.Random) -> list[Newcomer]:
    """Draw the racquets of a day that are still to come, the first to come first."""
    found: list[Newcomer] = []
    for _ in jobs:
        like = chance.choice(jobs)
        needed = late_from(like)
        comes = None if needed is None else needed - chance.randint(*COME_BEFORE)
        if needed is not None and comes is not None and comes > now:
            found.append((comes, like.minutes, needed, like.stringers))
    return sorted(found, key=lambda newcomer: newcomer[0])
