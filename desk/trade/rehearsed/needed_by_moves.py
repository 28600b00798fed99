"""How needed-by times move while play goes on: by what is known of the court's earlier matches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from desk.trade.bench.minute_grid import MinuteGrid
from desk.trade.play.match_figures import match_format
from desk.trade.play.match_length import length, length_given
from desk.trade.play.play import PlayMatch, PlaySettings
from desk.trade.rehearsed.drawn_play import Played

STILL_ON_FIRST, STILL_ON_STEP = 60, 20
"""A match that goes on is news after so many minutes, and again after so many more."""


@dataclass(frozen=True, kw_only=True)
class Move:
    """At minute `at` the start to be reckoned with for a match becomes `point`."""

    at: int
    match: str
    point: int


@dataclass(frozen=True)
class CourtPoints:
    """The start to be reckoned with of the matches on a court, from what has happened on it."""

    settings: PlaySettings
    chance: float
    behind: Mapping[str, list[PlayMatch]] = field(default_factory=dict)

    @classmethod
    def of(cls, matches: tuple[PlayMatch, ...], settings: PlaySettings, chance: float) -> CourtPoints:
        """For all matches of the order of play."""
        courts: dict[tuple[int, str], list[PlayMatch]] = {}
        for match in sorted(matches, key=lambda match: match.position):
            courts.setdefault((match.day, match.court), []).append(match)
        behind = {match.key: line[i + 1 :] for line in courts.values() for i, match in enumerate(line)}
        return cls(settings, chance, behind)

    def moves(self, played: Played) -> list[Move]:
        """The news that a match is for those behind it on its court: begun, still on, over."""
        found = []
        formats: tuple[str, ...] = ()
        settings = replace(self.settings, stops=())
        name = played.match.format
        for match in self.behind[played.match.key]:
            held = match.start_at_min if match.start_kind != "followed_by" else None
            known = [(played.start, _ahead((name, *formats), settings, self.chance))]
            for on in range(STILL_ON_FIRST, played.end - played.start, STILL_ON_STEP):
                known.append((played.start + on, _still_on((name, *formats), on, settings, self.chance)))
            known.append((played.end, _ahead(("", *formats), settings, self.chance)))
            for at, ahead in known:
                found.append(Move(at=at, match=match.key, point=max(at + ahead, held or 0)))
            formats += (match.format,)
        return found


@lru_cache(maxsize=4096)
def _ahead(formats: tuple[str, ...], settings: PlaySettings, chance: float) -> int:
    """Minutes before which the next match starts with this chance, after these; an empty format has just ended."""
    return _chain(formats, settings).point(chance)


@lru_cache(maxsize=4096)
def _still_on(formats: tuple[str, ...], played_min: int, settings: PlaySettings, chance: float) -> int:
    """The same, the first of these matches being on for so many minutes."""
    name, *rest = formats
    left = length_given(name, played_min, scale=settings.scale).shifted(-played_min).plus(settings.changeover)
    return left.plus(_chain(tuple(rest), settings)).point(chance)


def _chain(formats: tuple[str, ...], settings: PlaySettings) -> MinuteGrid:
    total = MinuteGrid.at(0)
    for name in formats:
        step = settings.changeover
        if name:
            step = length(name, settings.scale).plus(step)
            step = step.mixed(MinuteGrid.at(0), match_format(name).walkover)
        total = total.plus(step)
    return total
