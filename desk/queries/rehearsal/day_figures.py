"""What one drawn event came to with one team, counted by day and hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from desk.queries.rehearsal.drawn_days import RehearsedDay
from desk.trade.rehearsed.draw_sizes import DayHours
from solver.rehearsal import PlayedDay, Team

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
PADS = tuple(range(0, 65, 5))
"""Minutes added to the end that the plan foresees, for a promise."""
HOURS = 30
"""Hours of a day of play: night sessions go on to 29:59."""


@dataclass(frozen=True, kw_only=True)
class DayFigures:
    """Figures of one event: arrays by day of the event, by (day, hour) or by stringer.

    `racquets` are those not from a match in play, `late` those of them ready after they were needed, as that stood
    then, or not at all; `on_court` and `on_court_late` are the others, and those that took longer than asked. `hit`
    are matches of which a racquet was not ready when play began, `kept` promises kept at each of `PADS`. `came` are
    racquets handed in, `work` the bench hours that came with them, `waiting` those not done at the end of an hour,
    `wait` the longest wait of those that came in it, in minutes while the desk is open. `worked` are minutes by
    stringer and day.
    """

    racquets: Ints
    late: Ints
    on_court: int
    on_court_late: int
    matches: Ints
    hit: Ints
    kept: Ints
    told: int
    came: Ints
    work: Floats
    waiting: Ints
    wait: Ints
    worked: Floats
    metres: Floats


@dataclass(frozen=True)
class CountFigures:
    """Counts the figures of a played event; the days are those of the picture."""

    days: tuple[DayHours, ...]

    def __call__(self, day: RehearsedDay, team: Team, went: PlayedDay) -> DayFigures:
        """Count one event played by one team."""
        n, strung, known = len(self.days), went.strung, day.racquets.known
        end = np.where(strung, went.end, self.days[-1].closes if self.days else 0)
        late = ~strung | (went.end > went.due)
        is_hit = (~strung | (end > day.called)) & (day.match >= 0) & (day.called < 10**11)
        told = strung & (went.told < 10**11)
        foreseen = -(-went.told // 5) * 5
        on, hour = self._hours(known)
        came, work, wait = (np.zeros((n, HOURS)) for _ in range(3))
        np.add.at(came, (on, hour), 1)
        np.add.at(work, (on, hour), day.racquets.minutes / 60)
        np.maximum.at(wait, (on, hour), self._open_minutes(end) - self._open_minutes(known))
        return DayFigures(
            racquets=np.bincount(day.day[~day.on_court], minlength=n),
            late=np.bincount(day.day[late & ~day.on_court], minlength=n),
            on_court=int(day.on_court.sum()),
            on_court_late=int((late & day.on_court).sum()),
            matches=_matches_by_day(day, n, np.ones(len(known), np.bool_)),
            hit=_matches_by_day(day, n, is_hit),
            kept=np.array([int((told & (went.end <= foreseen + pad)).sum()) for pad in PADS]),
            told=int(told.sum()),
            came=came.astype(np.int64),
            work=work,
            waiting=self._waiting(known, end),
            wait=wait.astype(np.int64),
            worked=self._worked(team, went),
            metres=day.metres,
        )

    def _hours(self, minutes: Ints) -> tuple[Ints, Ints]:
        """The day and the hour of each minute, by the day's midnight."""
        midnights = np.array([day.midnight for day in self.days])
        on = np.clip(np.searchsorted(midnights, minutes, side="right") - 1, 0, len(self.days) - 1)
        return on, np.clip((minutes - midnights[on]) // 60, 0, HOURS - 1)

    def _open_minutes(self, at: Ints) -> Floats:
        """Minutes that the desk was open before each minute: nobody waits while it is closed."""
        edges = np.array([edge for day in self.days for edge in (day.opens, day.closes)])
        open_so_far = np.cumsum([0, *(width if i % 2 == 0 else 0 for i, width in enumerate(np.diff(edges)))])
        return np.interp(at, edges, open_so_far)

    def _waiting(self, known: Ints, end: Ints) -> Ints:
        """Racquets at the desk and not done, at the end of each hour of each day."""
        at = np.array([[day.midnight + 60 * (hour + 1) for hour in range(HOURS)] for day in self.days]).ravel()
        here = np.searchsorted(np.sort(known), at, side="right") - np.searchsorted(np.sort(end), at, side="right")
        return here.reshape(len(self.days), HOURS)

    def _worked(self, team: Team, went: PlayedDay) -> Floats:
        out = np.zeros((len(team.stringers), len(self.days)))
        done = went.strung
        on, _ = self._hours(went.start[done])
        np.add.at(out, (went.stringer[done], on), went.end[done] - went.start[done])
        return out


def _matches_by_day(day: RehearsedDay, days: int, which: npt.NDArray[np.bool_]) -> Ints:
    chosen = which & (day.match >= 0)
    pairs = np.unique(np.stack([day.day[chosen], day.match[chosen]]), axis=1)
    return np.bincount(pairs[0], minlength=days)
