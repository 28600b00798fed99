"""By when a player must have a racquet, and what a minute late costs.

A match's racquets are needed by the time before which play starts with a small chance (5 %), less a lead (30
minutes); an on-court racquet at once. For a first match at a time that is its time less the lead, and for *not
before* T the later of T and the point, less the lead. Published experience: of the matches that follow another,
1 to 3 % still start before the 5 % point less 30 minutes (Tennis Abstract, see match_figures).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from desk.trade.errors import PlayError
from desk.trade.start_of_play import StartDistribution

Why = Literal["on court", "match in play", "match", "time", "practice"]

WEIGHT_IN_PLAY = 20
WEIGHT_MATCH = 5
WEIGHT_PRACTICE = 1
"""What a minute late costs, in units of a practice racquet's."""


@dataclass(frozen=True, kw_only=True)
class NeededBySettings:
    """The chance taken that a player is called earlier, and the minutes a player has the racquet before."""

    chance: float = 0.05
    lead_min: int = 30

    def __post_init__(self) -> None:
        if not 0 < self.chance <= 0.5 or self.lead_min < 0:
            raise PlayError(
                f"A chance of {self.chance} or a lead of {self.lead_min} minutes",
                "Needed by",
                "Take a chance above 0 and up to 0.5, and a lead of 0 minutes or more.",
            )


@dataclass(frozen=True)
class NeededBy:
    """A needed-by time (None: no hurry), its weight, and what it rests on.

    `point_min` is the start that was reckoned with, where a match is the reason.
    """

    at_min: int | None
    weight: int
    why: Why
    match: str | None = None
    point_min: int | None = None


def needed_for_match(start: StartDistribution, settings: NeededBySettings | None = None) -> NeededBy | None:
    """When a player of this match needs the racquets for it; None once the match is over."""
    settings = settings or NeededBySettings()
    match = start.match
    if match.state not in {"scheduled", "in_play", "suspended"}:
        return None
    point = start.point(settings.chance)
    begun = match.state != "scheduled"
    weight = WEIGHT_IN_PLAY if begun else WEIGHT_MATCH
    return NeededBy(point - settings.lead_min, weight, "match in play" if begun else "match", match.key, point)


def needed_on_court(called_min: int, match: str | None = None) -> NeededBy:
    """A racquet sent from a match in play is needed at once, from the minute it was called for."""
    return NeededBy(called_min, WEIGHT_IN_PLAY, "on court", match)


def needed_at(minute: int) -> NeededBy:
    """A time that the desk gave."""
    return NeededBy(minute, WEIGHT_MATCH, "time")


def needed_for_practice(minute: int | None = None) -> NeededBy:
    """Practice: a time if the player named one, and the least weight."""
    return NeededBy(minute, WEIGHT_PRACTICE, "practice")


def next_match(starts: Mapping[str, StartDistribution], player: str) -> StartDistribution | None:
    """The player's match in play or next to start, by its median start; None without one."""
    ahead = [
        start
        for start in starts.values()
        if player in start.match.players and start.match.state in {"scheduled", "in_play", "suspended"}
    ]
    return min(ahead, key=lambda start: (start.point(0.5), start.match.key), default=None)


def change(
    before: NeededBy | None, after: NeededBy | None, notable_min: int = 5
) -> Literal["urgent", "relaxed", "same"]:
    """Whether a job became more urgent or less, by weight first and then by `notable_min` minutes or more."""
    was, now = _rank(before), _rank(after)
    if was[0] != now[0]:
        return "urgent" if now[0] > was[0] else "relaxed"
    if was[1] == now[1] or abs(now[1] - was[1]) < notable_min:
        return "same"
    return "urgent" if now[1] < was[1] else "relaxed"


def _rank(needed: NeededBy | None) -> tuple[int, float]:
    if needed is None:
        return (0, float("inf"))
    return (needed.weight, float("inf") if needed.at_min is None else needed.at_min)
