"""An event as it is known, with what is not known yet filled in: what a rehearsal draws its days from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Court, Event, EventDay, Machine, Player, Stringer
from desk.queries.play.play_records import clock_of, play_matches, play_settings, read_play
from desk.queries.rehearsal.seen import SeenDays, cards_of, known_in_records, seen_in_records
from desk.trade.errors import TradeError
from desk.trade.event.event_time import EventClock
from desk.trade.play.play import PlayMatch, PlaySettings
from desk.trade.play.start_of_play import forecast
from desk.trade.rehearsed.draw_sizes import USUAL_FIRST, DayHours, filled_in, usual_matches
from desk.trade.rehearsed.habits import Habits, habits_of
from desk.trade.rehearsed.picture import Card, Picture, Risks


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """What the lead sets where the records do not know; empty: as counted, else common practice.

    `matches_a_day` is by day of the event, `first_min` when play begins, minutes from midnight.
    """

    players: int | None = None
    matches_a_day: tuple[int, ...] = ()
    racquets: float | None = None
    on_court: float | None = None
    first_min: int = USUAL_FIRST
    risks: Risks = field(default_factory=Risks)


def picture_of(
    session: Session,
    event: Event,
    assumed: Assumed | None = None,
    seen: SeenDays | None = None,
    like: Picture | None = None,
) -> Picture:
    """Return the picture of an event as known before its first day.

    Parameters
    ----------
    seen : SeenDays, optional
        Racquets of earlier days; those of the records when absent.
    like : Picture, optional
        An earlier event whose habits and cards stand in where this one has none of its own.

    Raises
    ------
    BadInput
        When the event has no days, or its order of play cannot be.
    """
    assumed = assumed or Assumed()
    clock, days = clock_of(session, event), day_hours(session, event)
    if not days:
        raise BadInput(f"{event.name} has no days. Enter its days with the hours of the desk first.")
    seen = seen_in_records(session, event) if seen is None else seen
    settings = play_settings(event, scale=event.match_length_per_cent / 100)
    try:
        matches, players = _matches(session, event, clock, days, assumed)
        habits = _habits(seen, matches, settings, assumed, like)
    except TradeError as error:
        raise BadInput(f"The order of play cannot be reckoned with. {error}") from error
    cards, strings = _cards(session, event, seen, like)
    return Picture(
        days=tuple(days),
        matches=matches,
        players=players,
        habits=habits,
        cards=cards,
        strings=strings,
        machines=tuple(session.scalars(_codes(Machine, event))),
        stringers=tuple(session.scalars(_codes(Stringer, event))),
        settings=settings,
        risks=assumed.risks,
        chance=event.early_call_per_cent / 100,
        lead_min=event.lead_minutes,
        walk_on_min=event.walk_on_minutes,
        on_court_min=event.on_court_minutes,
    )


def day_hours(session: Session, event: Event) -> list[DayHours]:
    """Return the days of the event with the hours of the desk, in minutes."""
    clock = clock_of(session, event)
    rows = session.scalars(select(EventDay).where(EventDay.event_id == event.id).order_by(EventDay.date))
    return [
        DayHours(
            number=(day.date - clock.first_day).days,
            midnight=clock.day_start(day.date),
            opens=clock.to_minutes(day.opens_at),
            closes=clock.to_minutes(day.closes_at),
        )
        for day in rows
    ]


def _codes(table: type, event: Event):
    return select(table.code).where(table.event_id == event.id).order_by(table.position, table.code)


def _matches(
    session: Session, event: Event, clock: EventClock, days: Sequence[DayHours], assumed: Assumed
) -> tuple[tuple[PlayMatch, ...], tuple[str, ...]]:
    """The matches with players by code, filled in for the days that have none; and all players."""
    codes = dict(
        session.execute(select(Player.id, Player.code).where(Player.event_id == event.id).order_by(Player.id)).all()
    )
    known = [
        replace(_before_play(match), players=tuple(codes[int(p)] for p in match.players))
        for match in play_matches(read_play(session, event), 0)
    ]
    players = list(codes.values())
    players += [f"player {n + 1}" for n in range(len(players), assumed.players or 0)]
    if not players:
        return tuple(known), ()
    a_day = assumed.matches_a_day or usual_matches(len(players), len(days))
    if len(a_day) != len(days):
        raise BadInput(
            f"{len(a_day)} numbers of matches for {len(days)} days. Give one number for each day, 0 for none."
        )
    courts = list(session.scalars(select(Court.name).where(Court.event_id == event.id).order_by(Court.position)))
    return filled_in(known, days, players, a_day, courts, assumed.first_min), tuple(players)


def _cards(
    session: Session, event: Event, seen: SeenDays, like: Picture | None
) -> tuple[dict[str, tuple[Card, ...]], tuple[tuple[str, bool], ...]]:
    came = {one.brought.player for one in seen.racquets}
    known = [one for one in known_in_records(session, event) if one.brought.player not in came]
    cards, strings = cards_of([*seen.racquets, *known])
    return (dict(like.cards), like.strings) if like is not None and not cards else (cards, strings)


def _before_play(match: PlayMatch) -> PlayMatch:
    """The match as it stood before any play."""
    return replace(
        match, state="scheduled", started_min=None, ended_min=None, suspended_min=None, paused_min=0, sets_done=None
    )


def _habits(
    seen: SeenDays, matches: Sequence[PlayMatch], settings: PlaySettings, assumed: Assumed, like: Picture | None
) -> Habits:
    played = {match.key for match in matches if match.day in seen.days}
    habits = Habits() if like is None else like.habits
    if played:
        expected = {key: start.point(0.5) for key, start in forecast(matches, -1440, settings).items()}
        players = {key: some for key, some in seen.players_of.items() if key in played}
        counted = habits_of([one.brought for one in seen.racquets], expected, players, len(seen.days))
        habits = counted if counted.known else habits
    if assumed.racquets is not None:
        habits = habits.with_racquets(assumed.racquets)
    if assumed.on_court is not None:
        habits = replace(habits, on_court=assumed.on_court * habits.mean_racquets)
    return habits
