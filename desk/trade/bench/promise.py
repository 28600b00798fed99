"""The ready time told to a player: the planned end and a margin, so that nine promises in ten hold.

Bench times are lognormal about the house minutes with a spread of 15 % of their logarithm; delays run through
the queue before a job, idle gaps soak them up, and on-court jobs that may come in between are a compound
Poisson sum. The margin is the 90 % point of the delay, exact on the minute grid, times a correction learned
from promises kept and broken. What may slip in is let in until a racquet is needed, no further: nobody is told
a time past that for the sake of what may slip in. The model is our own; 15 % is the assumption it is judged by.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache
from math import ceil, exp, log
from statistics import NormalDist

from desk.trade.bench.minute_grid import MinuteGrid, lognormal
from desk.trade.errors import TradeError

PRIOR_PROMISES = 20
"""Promises as the model expects them that stand beside the real ones when the correction is learned."""


HOUSE_MINUTES = 22
"""Bench time of a racquet in the queue where only their number is known (common practice: 16 to 25)."""

FROM_COURT_PER_HOUR = 0.17
"""On-court jobs that come to one bench in an hour (7 % of 2.5 jobs an hour, press reports and common practice)."""

SLIPPED_IN_PER_HOUR, SLIPPED_IN_PATIENT = 0.25, 0.5
"""Racquets that slip in before one on a bench in an hour: on-court jobs and those needed sooner. Twice as many
pass one that has `PATIENT` and more to spare. Both found by playing days of 30 to 90 racquets (our own)."""

PATIENT = timedelta(minutes=60)
STEP = timedelta(minutes=5)
SOONER_BY = timedelta(minutes=60)
"""A promise that could be so much sooner is worth telling anew."""


@dataclass(frozen=True, kw_only=True)
class PromiseSettings:
    """How often a promise must hold, and how uncertain the benches are.

    `on_court_per_hour` on-court jobs an hour come to one bench while play is on (common practice: some 7 % of
    2.5 jobs an hour is 0.17; 0 when no match is in play), each `on_court_min` minutes on the machine.
    """

    hold: float = 0.9
    spread: float = 0.15
    on_court_per_hour: float = 0.0
    on_court_min: int = 15

    def __post_init__(self) -> None:
        good = 0.5 <= self.hold < 1 and 0 < self.spread <= 1
        if not good or self.on_court_per_hour < 0 or self.on_court_min < 1:
            raise TradeError(
                f"hold {self.hold}, spread {self.spread}",
                "Promise",
                "Hold 0.5 to below 1, spread above 0 to 1, jobs of a minute or more, nothing below 0.",
            )


@dataclass(frozen=True)
class Told:
    """A ready time with what it was reckoned from: the planned end and the margin in minutes, before the correction.

    `likely_at` is when it is as likely to be ready before as after: a promise before that will more likely
    break than hold.
    """

    planned_end_at: datetime
    margin_minutes: int
    ready_at: datetime
    likely_at: datetime

    def at(self, ready_at: datetime | None) -> "Told":
        """The same for another ready time, where one is given."""
        return replace(self, ready_at=ready_at or self.ready_at)


@dataclass(frozen=True)
class PromiseKept:
    """A promise whose racquet is strung: planned end and margin when it was made, and when it was ready."""

    planned_end_min: int
    margin_min: int
    ready_min: int


def delay(queue: Sequence[tuple[int, int]], now: int, settings: PromiseSettings) -> MinuteGrid:
    """Minutes by which the last job of a bench's queue ends after its planned end; negative when early.

    `queue` holds the planned [start, end) of every job still to be finished on that bench, in order, the
    promised job last.
    """
    if not queue:
        raise TradeError("The queue is empty", "Promise", "Plan the job first.")
    late, free = MinuteGrid.at(0), now
    for i, (start, end) in enumerate(queue):
        if start >= end:
            raise TradeError(f"A job planned from {start} to {end}", "Promise", "Plan it again.")
        if start > free:
            late = late.shifted(free - start).no_earlier(0)
        if i == len(queue) - 1:
            late = late.plus(_drop_ins(max(0, start - now), settings))
        late, free = late.plus(_deviation(end - start, settings.spread)), end
    return late


def margin_min(queue: Sequence[tuple[int, int]], now: int, settings: PromiseSettings | None = None) -> int:
    """Whole minutes to add to the planned end of the queue's last job."""
    settings = settings or PromiseSettings()
    return max(0, ceil(delay(queue, now, settings).point(settings.hold)))


def tell(
    planned_end_at: datetime,
    *,
    jobs_ahead: int,
    minutes: int,
    needed_by_at: datetime | None,
    on_court: bool = False,
    settings: PromiseSettings | None = None,
    correction: float = 1.0,
) -> Told:
    """The ready time to tell a player whose racquet is planned to end at `planned_end_at`.

    `jobs_ahead` racquets are finished first on the same bench, `minutes` is the bench time of the racquet itself.
    One that is needed soon is passed by fewer, one from the court by none; without a time it counts as patient.
    `correction` is what the event's own promises taught. It widens what others may take until the racquet is
    needed; from then on the plan holds its place, and only racquets from the court may still pass.
    """
    queued = _Queued(planned_end_at, jobs_ahead, max(1, minutes), settings or PromiseSettings())
    patient = needed_by_at is None or needed_by_at - planned_end_at >= PATIENT
    rate = 0.0 if on_court else SLIPPED_IN_PATIENT if patient else SLIPPED_IN_PER_HOUR
    margin, (at, likely_at) = queued.reckon(rate, 1.0 if on_court else correction)
    at = _up_to_step(at)
    if needed_by_at is not None and not on_court:
        _, (held_at, held_likely_at) = queued.reckon(FROM_COURT_PER_HOUR)
        at = min(at, max(needed_by_at - _past_step(needed_by_at), _up_to_step(held_at)))
        likely_at = min(likely_at, max(needed_by_at, held_likely_at))
    return Told(planned_end_at, margin, at, likely_at)


def _past_step(at: datetime) -> timedelta:
    # Every time zone in use is a multiple of five minutes from UTC.
    return timedelta(minutes=at.minute % 5, seconds=at.second, microseconds=at.microsecond)


def _up_to_step(at: datetime) -> datetime:
    past = _past_step(at)
    return at - past + STEP if past else at


@dataclass(frozen=True)
class _Queued:
    """A racquet behind others at its bench, as far as its ready time depends on them."""

    planned_end_at: datetime
    jobs_ahead: int
    minutes: int
    settings: PromiseSettings

    def reckon(self, slipped_in: float, correction: float = 1.0) -> tuple[int, tuple[datetime, datetime]]:
        """Give the margin before its correction, when it will surely be ready and when it is likely to be.

        The correction holds for the likely time too: else a promise would break as it is told.
        """
        ahead = max(0, self.jobs_ahead)
        ends = [HOUSE_MINUTES * (number + 1) for number in range(ahead)]
        own = HOUSE_MINUTES * ahead
        queue = [*((end - HOUSE_MINUTES, end) for end in ends), (own, own + self.minutes)]
        late = delay(queue, 0, replace(self.settings, on_court_per_hour=slipped_in))
        margin, half = max(0, ceil(late.point(self.settings.hold))), max(0, round(late.point(0.5)))
        sure, likely = ceil(margin * correction), round(half * correction)
        return margin, (self.planned_end_at + timedelta(minutes=sure), self.planned_end_at + timedelta(minutes=likely))


def learned_correction(kept: Sequence[PromiseKept], hold: float = 0.9) -> float:
    """The factor on margins with which `hold` of the promises so far would have held, shrunk towards 1.

    Each delay is measured in its margin; beside the real ones stand `PRIOR_PROMISES` as the model expects
    them, normal with their `hold` point at 1. Between 0.5 and 3.
    """
    scale = NormalDist().inv_cdf(hold) if hold > 0.5 else 1.0
    prior = [NormalDist().inv_cdf((i + 0.5) / PRIOR_PROMISES) / scale for i in range(PRIOR_PROMISES)]
    seen = [(one.ready_min - one.planned_end_min) / max(one.margin_min, 5) for one in kept]
    ranked = sorted(prior + seen)
    if not seen:
        return 1.0
    at = min(len(ranked), ceil(hold * (len(ranked) + 1))) - 1
    return round(min(3.0, max(0.5, ranked[at])), 2)


@lru_cache(maxsize=512)
def _deviation(minutes: int, spread: float) -> MinuteGrid:
    """Actual less planned minutes of one job."""
    longest = ceil(minutes * exp(6 * spread)) + 1
    return MinuteGrid(-minutes, lognormal(log(minutes), spread, longest)).trimmed()


@lru_cache(maxsize=512)
def _drop_ins(span_min: int, settings: PromiseSettings) -> MinuteGrid:
    """Minutes that on-court jobs take out of the next `span_min`: a compound Poisson sum."""
    expected = settings.on_court_per_hour * span_min / 60
    one = _deviation(settings.on_court_min, settings.spread).shifted(settings.on_court_min)
    chance = left = exp(-expected)
    total, several, seen = MinuteGrid.at(0), MinuteGrid.at(0), chance
    for k in range(1, 40):
        chance *= expected / k
        if chance < 1e-9 and k > expected:
            break
        several, seen = several.plus(one), seen + chance
        total = total.mixed(several, chance / seen)
    return total if left < 1 else MinuteGrid.at(0)
