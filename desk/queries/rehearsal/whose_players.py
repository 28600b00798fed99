"""The proposal of whose players are whose, as its screen shows it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Player, Stringer
from desk.queries.play.play_records import clock_of
from desk.queries.rehearsal.event_picture import day_hours
from desk.queries.rehearsal.wish_lines import WishLine, wish_lines
from solver.allotment import AllotmentProblem, points_of

SAID = {
    "over_hour": "more work than hands at some hour",
    "unfair": "more than a fair share of a day",
    "over_most": "more than the most a day",
    "wish": "wishes not kept",
    "apart": "kept apart, and yet together",
    "group": "partners or players of one coach parted",
    "changed": "changed from what was decided",
    "skill": "gut, or racquets from the court, for somebody who does not take them",
}
"""What each heading of the points means."""
HOURS = ("over_hour", "unfair", "over_most")
"""Headings that count minutes of work; the others count players."""


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One shortcoming: how much of it there is, and was before the change by hand, in words; `more` points more."""

    said: str
    now: str
    before: str
    more: int


@dataclass(frozen=True, kw_only=True)
class PlayerLine:
    """One player with the stringer chosen: codes, the name, expected racquet hours over the event."""

    player_id: int
    code: str
    name: str
    stringer: str
    hours: float
    changed: bool


@dataclass(frozen=True, kw_only=True)
class LoadLine:
    """One stringer: players, and by day the expected hours and the fair share of them."""

    stringer: str
    name: str
    players: int
    days: tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class WhosePlayers:
    """Everything that the screen shows.

    `wishes` stand with whether they are kept; `gone` are players whose stringer so far has no hours any more.
    """

    players: tuple[PlayerLine, ...]
    loads: tuple[LoadLine, ...]
    days: tuple[str, ...]
    costs: tuple[CostLine, ...]
    choices: tuple[tuple[str, str], ...]
    wishes: tuple[tuple[WishLine, bool], ...]
    gone: tuple[str, ...]

    @property
    def more(self) -> int:
        """Points more than before the change by hand."""
        return sum(line.more for line in self.costs)


def names_of(session: Session, event: Event) -> tuple[list[tuple[int, str]], list[tuple[int, str]]]:
    """Return the players by name, then the stringers in their order, each with the id."""
    here = Player.event_id == event.id, Player.erased_at.is_(None)
    players = select(Player.id, Player.called).where(*here).order_by(Player.name, Player.id)
    team = select(Stringer.id, Stringer.name).where(Stringer.event_id == event.id).order_by(Stringer.position)
    return [(n, name) for n, name in session.execute(players)], [(n, name) for n, name in session.execute(team)]


def whose_players(
    session: Session, event: Event, problem: AllotmentProblem, chosen: Mapping[str, str], before: Mapping[str, str]
) -> WhosePlayers:
    """Return what is chosen beside what it was before."""
    clock, days = clock_of(session, event), day_hours(session, event)
    names = dict(session.execute(select(Stringer.code, Stringer.name).where(Stringer.event_id == event.id)).all())
    people = {one.code: one for one in session.scalars(select(Player).where(Player.event_id == event.id))}
    minutes = {one.id: sum(one.minutes.values()) for one in problem.players}
    hands = {hand.id for hand in problem.hands}
    now, then = points_of(problem, chosen), points_of(problem, before)
    return WhosePlayers(
        players=tuple(
            PlayerLine(
                player_id=people[code].id,
                code=code,
                name=people[code].called,
                stringer=chosen[code],
                hours=minutes[code] / 60,
                changed=chosen[code] != before[code],
            )
            for code in sorted(chosen, key=lambda code: people[code].called)
        ),
        loads=tuple(_loads(problem, chosen, names, len(days))),
        days=tuple(clock.day_name(clock.day_of(day.opens))[:3] for day in days),
        costs=tuple(
            CostLine(
                said=SAID[heading],
                now=_amount(problem, heading, now[heading]),
                before=_amount(problem, heading, then[heading]),
                more=now[heading] - then[heading],
            )
            for heading in SAID
            if now[heading] or then[heading]
        ),
        wishes=tuple((line, line.is_kept(chosen)) for line in wish_lines(session, event)),
        gone=tuple(people[p].name for p, who in sorted(problem.before.items()) if who not in hands and p in people),
        choices=tuple((hand.id, names.get(hand.id, hand.id)) for hand in problem.hands),
    )


def _amount(problem: AllotmentProblem, heading: str, points: int) -> str:
    """The points of a heading as what they stand for: hours of work, else how many times."""
    count = points / getattr(problem.points, heading)
    if heading in HOURS:
        return f"{count / 60:.1f} h"
    return "some" if heading == "skill" and points else f"{count:.0f}"


def _loads(
    problem: AllotmentProblem, chosen: Mapping[str, str], names: Mapping[str, str], days: int
) -> Sequence[LoadLine]:
    work: dict[tuple[str, int], int] = defaultdict(int)
    for player in problem.players:
        hand = next(hand for hand in problem.hands if hand.id == chosen[player.id])
        for slot in player.minutes:
            work[hand.id, slot[0]] += problem.minutes_with(player, hand, slot)
    return [
        LoadLine(
            stringer=hand.id,
            name=names.get(hand.id, hand.id),
            players=sum(who == hand.id for who in chosen.values()),
            days=tuple((work[hand.id, day] / 60, problem.fair_share(hand, day) / 60) for day in range(days)),
        )
        for hand in problem.hands
    ]
