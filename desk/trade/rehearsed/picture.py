"""What is known of an event before it, and what is assumed: all that a rehearsal draws its days from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from desk.trade.play.play import PlayMatch, PlaySettings
from desk.trade.play.play_order import PlayOrder, order_play
from desk.trade.play.start_of_play import forecast
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.habits import Habits
from desk.trade.rehearsed.needed_by_moves import CourtPoints


@dataclass(frozen=True, kw_only=True)
class Card:
    """What one racquet takes: bench minutes, the same on court, and metres by place of the string in the picture."""

    minutes: int = 20
    on_court_minutes: int = 15
    uses: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Risks:
    """What may go wrong, at rates that can be set; all of them are common practice where nobody knows better.

    `spread` is the deviation of the logarithm of bench minutes, per cent; rain and failures are chances a day, of all
    courts and of one machine or stringer, with the median of their minutes.
    """

    spread: int = 15
    rain: float = 0.1
    rain_min: int = 60
    machine_fails: float = 0.01
    machine_min: int = 90
    stringer_away: float = 0.005
    stringer_min: int = 240


@dataclass(frozen=True, kw_only=True)
class Picture:
    """An event to rehearse; times are whole minutes from its first midnight.

    Parameters
    ----------
    matches : tuple of PlayMatch
        Every match, those that were filled in from the draw among them.
    cards : mapping of str to tuple of Card
        The cards that each player is known to want; a player without any takes one of all cards.
    strings : tuple of (str, bool)
        Codes of the strings that cards refer to by place, and whether the player brings it.
    machines, stringers : tuple of str
        Codes of those that may fail.
    """

    days: tuple[DayHours, ...]
    matches: tuple[PlayMatch, ...]
    players: tuple[str, ...]
    habits: Habits = field(default_factory=Habits)
    cards: Mapping[str, tuple[Card, ...]] = field(default_factory=dict)
    strings: tuple[tuple[str, bool], ...] = ()
    machines: tuple[str, ...] = ()
    stringers: tuple[str, ...] = ()
    settings: PlaySettings = field(default_factory=PlaySettings)
    risks: Risks = field(default_factory=Risks)
    chance: float = 0.05
    lead_min: int = 30
    walk_on_min: int = 10
    on_court_min: int = 15

    @property
    def soft_min(self) -> int:
        """Minutes between needed by and when the player may truly be called."""
        return max(0, self.lead_min - self.walk_on_min)

    @cached_property
    def order(self) -> PlayOrder:
        """The matches, causes first."""
        return order_play(self.matches, self.settings)

    @cached_property
    def points(self) -> dict[str, int]:
        """The start of each match that the desk reckons with before play: called earlier only by a small chance."""
        return {key: start.point(self.chance) for key, start in self._starts.items()}

    @cached_property
    def expected(self) -> dict[str, int]:
        """The start of each match that everybody expects."""
        return {key: start.point(0.5) for key, start in self._starts.items()}

    @cached_property
    def court_points(self) -> CourtPoints:
        """How needed-by times move while play goes on."""
        return CourtPoints.of(self.matches, self.settings, self.chance)

    @cached_property
    def all_cards(self) -> tuple[Card, ...]:
        """Every known card once a player, for whom none is known; a plain one where there is none at all."""
        return tuple(card for cards in self.cards.values() for card in cards) or (Card(),)

    @cached_property
    def _starts(self):
        before = min((day.opens for day in self.days), default=0) - 1440
        return forecast(self.matches, before, self.settings) if self.matches else {}

    def day_of(self, minute: int) -> int:
        """The place in `days` of the day that a minute belongs to, by whose closing it comes."""
        return next((i for i, day in enumerate(self.days) if minute < day.closes + 180), len(self.days) - 1)

    def open_at(self, minute: int) -> int | None:
        """The minute itself while the desk is open; else the next opening, None after the last day."""
        for day in self.days:
            if minute < day.closes:
                return max(minute, day.opens)
        return None
