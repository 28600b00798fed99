"""What each player is expected to bring by day and hour, and who could string it: the problem of the allotment."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Machine, Player, Stringer, StringType
from desk.queries.plan.who_may import why_not
from desk.queries.rehearsal.wish_lines import Wishes, wishes_of
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.drawn_racquets import draw_event
from desk.trade.rehearsed.picture import Picture
from solver.allotment import AllotmentProblem, Hand, Slot, Wanted
from solver.contract import workload as work
from solver.rehearsal import Team

DRAWN = 40
"""Events drawn for what is expected: the mean of so many is good to a few minutes a player."""
PART_MIN = 180
"""Minutes of one part of a day, within which work and hands are held against each other."""


def allotment_problem(
    session: Session, event: Event, picture: Picture, team: Team, wishes: Wishes | None = None
) -> AllotmentProblem:
    """Return the problem for the players who are known by name; the lead's choices so far are what is kept.

    Only stringers with hours on shift are given players. Doubles partners belong together by the order of play, a
    coach's players by their contact. WISHES are those of the records where none are given.

    Raises
    ------
    BadInput
        When a wish names nobody.
    """
    wishes = wishes_of(session, event) if wishes is None else wishes
    names = set(session.scalars(select(Player.code).where(Player.event_id == event.id, Player.erased_at.is_(None))))
    people = {one.code: one for one in session.scalars(select(Stringer).where(Stringer.event_id == event.id))}
    for player, stringer in (wishes.fixed or {}).items():
        if player not in names or stringer not in {one.id for one in team.stringers}:
            raise BadInput(f'"{player}={stringer}": there is no such player, or no such stringer in this team.')
    gut = _gut_players(session, event, picture)
    minutes, from_court = expected_minutes(picture)
    hands = tuple(_hand(one, people.get(one.id), picture) for one in team.stringers)
    groups = (*wishes.groups, *_partners(picture))
    return AllotmentProblem(
        players=tuple(
            Wanted(id=p, minutes=minutes.get(p, {}), gut=p in gut, from_court=from_court.get(p, 0))
            for p in sorted(names)
        ),
        hands=tuple(hand for hand in hands if hand.minutes) or hands,
        wishes=dict(wishes.with_stringer or {}),
        apart=frozenset(wishes.apart),
        players_apart=frozenset(wishes.players_apart),
        groups=tuple(frozenset(group) for group in groups if len(set(group)) > 1),
        before=_so_far(session, event),
        fixed=dict(wishes.fixed or {}),
    )


def _hand(one: work.Stringer, known: Stringer | None, picture: Picture) -> Hand:
    return Hand(
        id=one.id,
        minutes=_on_shift(one.windows, picture.days),
        pace=one.pace,
        gut=known is None or not why_not(known, gut=True, on_court=False),
        on_court=known is None or not why_not(known, gut=False, on_court=True),
        most_a_day=_most(known, picture),
    )


def expected_minutes(picture: Picture, drawn: int = DRAWN) -> tuple[dict[str, dict[Slot, int]], dict[str, int]]:
    """Return bench minutes by player, day and part of the day, and those of racquets from the court by player.

    Both are means of some drawn events.
    """
    from_court: dict[str, float] = defaultdict(float)
    total: dict[str, dict[Slot, float]] = defaultdict(lambda: defaultdict(float))
    for number in range(drawn):
        for one in draw_event(picture, number).racquets:
            minutes = one.card.on_court_minutes if one.on_court else one.card.minutes
            at = max(one.known, min(one.due - PART_MIN, one.due))
            total[one.player][_slot(at, picture.days)] += minutes / drawn
            from_court[one.player] += minutes / drawn if one.on_court else 0
    by_slot = {
        player: {slot: round(minutes) for slot, minutes in slots.items() if minutes >= 0.5}
        for player, slots in total.items()
    }
    return by_slot, {player: round(minutes) for player, minutes in from_court.items()}


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


def home_machines(session: Session, event: Event) -> dict[str, tuple[int, int | None]]:
    """Return the id of each stringer, and of the home machine, by the stringer's code."""
    found = select(Stringer.code, Stringer.id, Machine.id).outerjoin(Machine, Machine.id == Stringer.home_machine_id)
    return {code: (who, where) for code, who, where in session.execute(found.where(Stringer.event_id == event.id))}
