"""What players bring and when: counted on earlier days, or common practice where there are none."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

USUAL_RACQUETS = (2, 3, 3, 3, 4, 4, 5)
"""Racquets a player and match where nothing is known: 3 to 4 at a middle-sized event (press reports)."""
USUAL_AHEAD = (1140, 1080, 1020, 960, 300, 260, 230, 210, 190, 170, 150, 130)
"""Minutes from drop-off to the start of the match: a third the evening before, the others that morning (CP)."""
USUAL_ON_COURT = 0.07
"""Racquets from a match in play, of all: about 7 % (press reports, the first day of a major)."""
FEWEST_VISITS = 12
"""Visits for a match that must be known before they are believed more than common practice."""


@dataclass(frozen=True, kw_only=True)
class Brought:
    """One racquet that was dropped off: by whom, when, and for which match, where that is known."""

    player: str
    at_min: int
    day: int
    match: str | None
    on_court: bool
    for_practice: bool = False


@dataclass(frozen=True, kw_only=True)
class Habits:
    """What to expect of a player and match; lists are drawn from.

    Parameters
    ----------
    racquets : tuple of int
        Racquets brought for one match by one player; 0 where a player brought none.
    ahead_min : tuple of int
        Minutes from the drop-off to the match's start as it is expected.
    on_court : float
        Racquets sent from a match in play, a player and match, in the mean.
    practice : float
        Racquets for practice, a player and day, in the mean.
    testers : int
        Racquets that a player has strung on arrival.
    known : int
        Visits behind these figures; 0 for common practice.
    """

    racquets: tuple[int, ...] = USUAL_RACQUETS
    ahead_min: tuple[int, ...] = USUAL_AHEAD
    on_court: float = USUAL_ON_COURT * sum(USUAL_RACQUETS) / len(USUAL_RACQUETS)
    practice: float = 0.05
    testers: int = 0
    known: int = 0

    @property
    def mean_racquets(self) -> float:
        """Racquets a player and match in the mean, those from a match in play not counted."""
        return sum(self.racquets) / len(self.racquets)

    def with_racquets(self, mean: float) -> Habits:
        """The same habits with so many racquets a player and match in the mean."""
        low = int(mean)
        of_ten = round(10 * (mean - low))
        return replace(self, racquets=(low + 1,) * of_ten + (low,) * (10 - of_ten))


def habits_of(
    brought: Sequence[Brought], starts: dict[str, int], players_of: dict[str, tuple[str, ...]], days: int
) -> Habits:
    """Count the habits of those who brought these racquets.

    Parameters
    ----------
    starts, players_of : dict
        The expected start and the players of each match of the days that are known.
    days : int
        Days on which racquets came.
    """
    visits: dict[tuple[str, str], list[int]] = defaultdict(list)
    for one in brought:
        if one.match is not None and not one.on_court:
            visits[one.player, one.match].append(one.at_min)
    if len(visits) < FEWEST_VISITS:
        return Habits()
    played = [(player, match) for match, players in players_of.items() for player in players]
    racquets = [len(visits.get(pair, ())) for pair in played] or [len(times) for times in visits.values()]
    ahead = [starts[match] - at for (_, match), times in visits.items() if match in starts for at in sorted(set(times))]
    players = len(Counter(one.player for one in brought))
    on_court = sum(one.on_court for one in brought)
    practice = sum(one.for_practice for one in brought)
    return Habits(
        racquets=tuple(sorted(racquets)),
        ahead_min=tuple(sorted(max(20, minutes) for minutes in ahead)) or USUAL_AHEAD,
        on_court=on_court / max(1, len(played)),
        practice=practice / max(1, players * days),
        testers=0,
        known=len(visits),
    )
