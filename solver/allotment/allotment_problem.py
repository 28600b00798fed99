"""What is allotted: players with the work expected of them, stringers with their hours, and wishes."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from solver.contract.plan import Answer

Slot = tuple[int, int]
"""A day of the event, and a part of it by number."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """One player: expected bench minutes by slot, those of racquets from the court, whether gut is among them."""

    id: str
    minutes: Mapping[Slot, int]
    gut: bool = False
    from_court: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Hand:
    """One stringer: minutes on shift by slot, pace in per cent of house time, and what may be given.

    `most_a_day` are bench minutes; None for as many as the shift has.
    """

    id: str
    minutes: Mapping[Slot, int]
    pace: int = 100
    gut: bool = True
    on_court: bool = True
    most_a_day: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class AllotmentPoints:
    """What each shortcoming costs: `over_hour` and `unfair` a minute, the others each time.

    `over_hour` is for work beyond the hands on shift in one part of a day, `unfair` for a day's work beyond the
    stringer's share of it by hours, `over_most` for a minute beyond the most that a stringer may have. `wish` is
    for a player not with the stringer wished, `apart` for one with a stringer to be kept away from, `group` for
    each stringer more than one among players who belong together, `changed` for a player moved from an earlier
    allotment, `from_court` for a minute from the court that the own stringer does not take.
    """

    over_hour: int = 10
    unfair: int = 4
    over_most: int = 20
    wish: int = 2_000
    apart: int = 20_000
    group: int = 60
    changed: int = 5_000
    skill: int = 50_000
    from_court: int = 20


@dataclass(frozen=True, kw_only=True)
class AllotmentProblem:
    """Everything that an allotment depends on.

    Parameters
    ----------
    wishes : mapping of str to str
        The stringer that a player wants, as last year.
    apart : frozenset of (str, str)
        Players and stringers who do not go together.
    players_apart : frozenset of (str, str)
        Players who are not to have the same stringer.
    groups : tuple of frozenset of str
        Players who belong together: doubles partners, a coach's players.
    before : mapping of str to str
        An earlier allotment, of which as little as possible is changed; a stringer who is gone may stand in it.
    fixed : mapping of str to str
        Decided by hand.
    """

    players: tuple[Wanted, ...]
    hands: tuple[Hand, ...]
    wishes: Mapping[str, str] = field(default_factory=dict)
    apart: frozenset[tuple[str, str]] = frozenset()
    players_apart: frozenset[tuple[str, str]] = frozenset()
    groups: tuple[frozenset[str], ...] = ()
    before: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    points: AllotmentPoints = field(default_factory=AllotmentPoints)

    def minutes_with(self, player: Wanted, hand: Hand, slot: Slot) -> int:
        """Give the minutes that this stringer needs for the player in a slot."""
        return -(-player.minutes.get(slot, 0) * hand.pace // 100)

    def skill_points(self, player: Wanted, hand: Hand) -> int:
        """Give the points of what this stringer does not string of the player's racquets: gut, and from the court."""
        gut = self.points.skill * (player.gut and not hand.gut)
        return gut + self.points.from_court * player.from_court * (not hand.on_court)

    @property
    def slots(self) -> list[Slot]:
        """Give every slot in which somebody works or work comes."""
        of_players = {slot for player in self.players for slot in player.minutes}
        return sorted(of_players | {slot for hand in self.hands for slot in hand.minutes})

    def day_minutes(self, one: Wanted | Hand) -> dict[int, int]:
        """Give the minutes of a player or a stringer by day."""
        found: dict[int, int] = {}
        for (day, _), minutes in one.minutes.items():
            found[day] = found.get(day, 0) + minutes
        return found

    def fair_share(self, hand: Hand, day: int) -> int:
        """Give the minutes of a day's work that fall to a stringer by the hours on shift, rounded up."""
        hours = {one.id: self.day_minutes(one).get(day, 0) for one in self.hands}
        work = sum(self.day_minutes(player).get(day, 0) for player in self.players)
        total = sum(hours.values())
        return -(-work * hours[hand.id] // total) if total else 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Allotment(Answer):
    """Each player's stringer, and what that costs."""

    stringer_of: Mapping[str, str]
