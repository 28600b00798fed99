"""What each player is expected to bring by day and hour, and who could string it: the problem of the allotment."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Machine, Player, Stringer, StringType
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.drawn_racquets import draw_event
from desk.trade.rehearsed.picture import Picture
from solver.allotment import AllotmentProblem, Hand, Slot, Wanted
from solver.rehearsal import Team

DRAWN = 40
"""Events drawn for what is expected: the mean of so many is good to a few minutes a player."""
PART_MIN = 180
"""Minutes of one part of a day, within which work and hands are held against each other."""


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """Who wants whom, who does not go together, who belongs together; players and stringers by code."""

    with_stringer: Mapping[str, str] | None = None
    apart: Collection[tuple[str, str]] = ()
    groups: Sequence[Collection[str]] = ()
    fixed: Mapping[str, str] | None = None


def allotment_problem(
    session: Session, event: Event, picture: Picture, team: Team, wishes: Wishes | None = None
) -> AllotmentProblem:
    """Return the problem for the players who are known by name; the lead's choices so far are what is kept.

    Doubles partners belong together by the order of play.

    Raises
    ------
    BadInput
        When a wish names nobody.
    """
    wishes = wishes or Wishes()
    names = set(session.scalars(select(Player.code).where(Player.event_id == event.id, Player.erased_at.is_(None))))
    people = {one.code: one for one in session.scalars(select(Stringer).where(Stringer.event_id == event.id))}
    _check(wishes, names, {one.id for one in team.stringers})
    gut = _gut_players(session, event, picture)
    work = expected_minutes(picture)
    return AllotmentProblem(
        players=tuple(Wanted(id=p, minutes=work.get(p, {}), gut=p in gut) for p in sorted(names)),
        hands=tuple(
            Hand(
                id=one.id,
                minutes=_on_shift(one.windows, picture.days),
                pace=one.pace,
                gut=one.id not in people or people[one.id].strings_gut,
                most_a_day=_most(people.get(one.id), picture),
            )
            for one in team.stringers
        ),
        wishes=dict(wishes.with_stringer or {}),
        apart=frozenset(wishes.apart),
        groups=tuple(frozenset(group) for group in (*wishes.groups, *_partners(picture)) if len(set(group)) > 1),
        before=_so_far(session, event),
        fixed=dict(wishes.fixed or {}),
    )


def expected_minutes(picture: Picture, drawn: int = DRAWN) -> dict[str, dict[Slot, int]]:
    """Return bench minutes by player, day and part of the day, in the mean of some drawn events."""
    total: dict[str, dict[Slot, float]] = defaultdict(lambda: defaultdict(float))
    for number in range(drawn):
        for one in draw_event(picture, number).racquets:
            minutes = one.card.on_court_minutes if one.on_court else one.card.minutes
            at = max(one.known, min(one.due - PART_MIN, one.due))
            total[one.player][_slot(at, picture.days)] += minutes / drawn
    return {
        player: {slot: round(minutes) for slot, minutes in slots.items() if minutes >= 0.5}
        for player, slots in total.items()
    }


def _slot(minute: int, days: Sequence[DayHours]) -> Slot:
    day = max((i for i, one in enumerate(days) if one.midnight <= minute), default=0)
    return day, (minute - days[day].midnight) // PART_MIN


def _on_shift(windows: Sequence[tuple[int, int]], days: Sequence[DayHours]) -> dict[Slot, int]:
    found: dict[Slot, int] = defaultdict(int)
    for start, end in windows:
        at = start
        while at < end:
            day, part = slot = _slot(at, days)
            until = min(end, max(at + 1, days[day].midnight + (part + 1) * PART_MIN))
            found[slot] += until - at
            at = until
    return dict(found)


def _most(stringer: Stringer | None, picture: Picture) -> int | None:
    if stringer is None or stringer.most_a_day is None:
        return None
    minutes = sum(card.minutes for card in picture.all_cards) / len(picture.all_cards)
    return round(stringer.most_a_day * minutes)


def _gut_players(session: Session, event: Event, picture: Picture) -> set[str]:
    gut = select(StringType.code).where(StringType.event_id == event.id, StringType.material == "natural_gut")
    codes = set(session.scalars(gut))
    places = {place for place, (code, _) in enumerate(picture.strings) if code in codes}
    return {
        player for player, cards in picture.cards.items() if any(place in places for c in cards for place, _ in c.uses)
    }


def _partners(picture: Picture) -> list[tuple[str, ...]]:
    found = []
    for match in picture.matches:
        if match.format == "doubles" and len(match.players) == 4:
            found += [match.players[:2], match.players[2:]]
    return list(dict.fromkeys(tuple(sorted(pair)) for pair in found))


def _so_far(session: Session, event: Event) -> dict[str, str]:
    found = (
        select(Player.code, Stringer.code)
        .join(Stringer, Stringer.id == Player.own_stringer_id)
        .where(Player.event_id == event.id)
    )
    return dict(session.execute(found).all())


def _check(wishes: Wishes, players: set[str], stringers: set[str]) -> None:
    pairs = [*(wishes.with_stringer or {}).items(), *wishes.apart, *(wishes.fixed or {}).items()]
    for player, stringer in pairs:
        if player not in players or stringer not in stringers:
            raise BadInput(f'"{player}={stringer}": there is no such player, or no such stringer in this team.')
    for group in wishes.groups:
        for player in group:
            if player not in players:
                raise BadInput(f'"{player}": there is no such player.')


def home_machines(session: Session, event: Event) -> dict[str, tuple[int, int | None]]:
    """Return the id of each stringer, and of the home machine, by the stringer's code."""
    found = select(Stringer.code, Stringer.id, Machine.id).outerjoin(Machine, Machine.id == Stringer.home_machine_id)
    return {code: (who, where) for code, who, where in session.execute(found.where(Stringer.event_id == event.id))}
