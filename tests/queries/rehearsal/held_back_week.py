"""An invented week that nobody has seen: its true habits, cards, lengths and risks are drawn apart from what was known.

What was known on the Friday before are last year's habits and cards, the order of play, and the usual risks. What truly
comes differs from them by as much as years and surfaces do, each drawn within the range that stands here.
"""

from dataclasses import replace

import numpy as np

from desk.queries.rehearsal.answers import Answer
from desk.queries.rehearsal.day_figures import CountFigures, DayFigures
from desk.queries.rehearsal.drawn_days import DrawnDays
from desk.trade.rehearsed.picture import Picture
from solver.rehearsal import play
from tests.queries.rehearsal.true_week import TrueWeek, inside

RACQUETS_MORE = 0.05
"""Racquets a player and match: so much more or less (a year's racquets a player lie within some 5 % of the last's)."""
FROM_COURT_TIMES = (0.6, 1.5)
"""Racquets from a match in play, as a multiple of last year's: the share is small, and so it varies much."""
PRACTICE_TIMES = (0.7, 1.3)
AHEAD_MIN = (-25, 25)
"""Minutes by which everybody comes sooner or later than last year."""
SCALE_TIMES = (0.95, 1.05)
"""Lengths of matches: surfaces and years differ by up to 9 %, and the setting of the event knows half of it."""
SPREADS = (12, 20)
RAIN = (0.0, 0.25)
OTHER_CARD = 0.15
"""So many players in a hundred have changed to another player's card since."""


def truly(known: Picture, seed: int) -> Picture:
    """Draw what is true of a week of which this is known."""
    dice = np.random.default_rng((seed, 77))
    habits, risks = known.habits, known.risks
    shift = int(dice.integers(*AHEAD_MIN, endpoint=True))
    racquets = habits.mean_racquets * dice.uniform(1 - RACQUETS_MORE, 1 + RACQUETS_MORE)
    return replace(
        known,
        habits=replace(
            habits,
            racquets=_with_mean(habits.racquets, racquets, dice),
            on_court=habits.on_court * dice.uniform(*FROM_COURT_TIMES),
            practice=habits.practice * dice.uniform(*PRACTICE_TIMES),
            ahead_min=tuple(max(20, minutes + shift) for minutes in habits.ahead_min),
        ),
        cards=_other_cards(known, dice),
        settings=replace(known.settings, scale=known.settings.scale * dice.uniform(*SCALE_TIMES)),
        risks=replace(risks, spread=int(dice.integers(*SPREADS, endpoint=True)), rain=dice.uniform(*RAIN)),
    )


def came(week: TrueWeek, seed: int) -> DayFigures:
    """Give the figures of the week as it truly came to the team."""
    true = truly(week.picture, seed)
    day = DrawnDays(true)(100_000 + seed)
    return CountFigures(week.picture.days)(day, week.team, play(day, week.team, promises=True))


def shares(week: TrueWeek, said: Answer, true: DayFigures) -> dict[str, float]:
    """Give the share of true figures within their bands: by kind, and of all; hours without any work are left out."""
    found = inside(week, said, true)
    hours = [line.came.high > 0 or true.came[line.day, line.hour] > 0 for line in said.teams[0].hours]
    found["load"] = [one for one, there in zip(found["load"], hours, strict=True) if there]
    every = [one for some in found.values() for one in some]
    return {name: sum(some) / len(some) for name, some in found.items()} | {"all": sum(every) / len(every)}


def _with_mean(counts: tuple[int, ...], mean: float, dice: np.random.Generator) -> tuple[int, ...]:
    """Counts of this year's players: drawn from last year's, one more or less here and there until the mean fits."""
    drawn = [int(count) for count in dice.choice(counts, 40)]
    step = 1 if sum(drawn) < 40 * mean else -1
    while step * (40 * mean - sum(drawn)) > 0.5:
        at = int(dice.integers(40))
        drawn[at] = max(0, drawn[at] + step)
    return tuple(sorted(drawn))


def _other_cards(known: Picture, dice: np.random.Generator) -> dict:
    names = sorted(known.cards)
    changed = {name for name in names if dice.random() < OTHER_CARD}
    return {name: known.cards[str(dice.choice(names))] if name in changed else known.cards[name] for name in names}
