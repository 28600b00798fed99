"""A week whose true days are kept aside: the racquets of event files, with true minutes and matches drawn."""

from dataclasses import dataclass, replace
from math import exp
from pathlib import Path

import numpy as np

from desk.queries.rehearsal import drawn_days
from desk.queries.rehearsal.answers import Answer, Goal, answer
from desk.queries.rehearsal.day_figures import CountFigures, DayFigures
from desk.queries.rehearsal.drawn_days import DrawnDays, RehearsedDay
from desk.queries.rehearsal.event_picture import picture_of
from desk.queries.rehearsal.seen import Seen, SeenDays
from desk.queries.rehearsal.teams import teams_of
from desk.services.event_files import opened
from desk.services.rehearsal.rehearsing import seen_of
from desk.trade.rehearsed.drawn_racquets import NO_TIME, DrawnEvent, Dropped, draw_event
from desk.trade.rehearsed.picture import Card, Picture
from solver.rehearsal import HowPlayed, Team, play, play_many


@dataclass(frozen=True)
class TrueWeek:
    """What was known before, what then came, and the team."""

    picture: Picture
    seen: SeenDays
    team: Team


def true_week(folder: Path) -> TrueWeek:
    """Read a folder: the racquets serve as last year's habits and cards, and as what truly comes."""
    with opened("sqlite://", str(folder)) as (session, event, files):
        seen = seen_of(session, event, files)
        last_year = picture_of(session, event, seen=seen)
        before = picture_of(session, event, seen=SeenDays(), like=last_year)
        return TrueWeek(before, seen, teams_of(session, event, ())[0])


def truly_played(week: TrueWeek, number: int) -> DayFigures:
    """Play the true racquets with minutes, matches and failures of a number."""
    drawn = draw_event(week.picture, number)
    dice, places = np.random.default_rng((number, 9)), {use: i for i, use in enumerate(week.picture.strings)}
    true = replace(drawn, racquets=[_dropped(week, drawn, one, dice, places) for one in week.seen.racquets])
    day = _laid_out(week, true, number)
    return CountFigures(week.picture.days)(day, week.team, play(day, week.team, promises=True))


def _dropped(week: TrueWeek, drawn: DrawnEvent, seen: Seen, dice: np.random.Generator, places: dict) -> Dropped:
    brought, of = seen.brought, week.picture
    starts = {one.match.key: one.start for one in drawn.played}
    due = of.points[brought.match] - of.lead_min if brought.match else brought.at_min + 240
    due = brought.at_min + of.on_court_min if brought.on_court else due
    return Dropped(
        known=brought.at_min,
        due=due,
        latest=due,
        weight=20 if brought.on_court else 5,
        player=brought.player,
        match=brought.match or "",
        called=NO_TIME if brought.match is None or brought.on_court else starts[brought.match],
        on_court=brought.on_court,
        card=Card(
            minutes=seen.minutes,
            on_court_minutes=seen.on_court_minutes,
            uses=tuple((places[code, own], metres) for code, own, metres in seen.uses),
        ),
        factor=exp(0.15 * dice.standard_normal() - 0.15**2 / 2),
    )


def _laid_out(week: TrueWeek, drawn: DrawnEvent, number: int) -> RehearsedDay:
    class Given(DrawnDays):
        def __call__(self, _number: int) -> RehearsedDay:
            kept, drawn_days.draw_event = drawn_days.draw_event, lambda *_: drawn
            try:
                return super().__call__(number)
            finally:
                drawn_days.draw_event = kept

    return Given(week.picture)(number)


def rehearsed(week: TrueWeek, replications: int) -> Answer:
    """Rehearse the week from what was known before."""
    found = play_many(
        DrawnDays(week.picture), [week.team], replications, CountFigures(week.picture.days), how=HowPlayed(), workers=1
    )
    return answer(week.picture, [week.team], found, Goal())


def inside(week: TrueWeek, said: Answer, true: DayFigures) -> dict[str, list[bool]]:
    """Whether each true figure lies in its band: late by day, racquets that came by hour, metres by string."""
    team = said.teams[0]
    late = true.late / np.maximum(1, true.racquets)
    return {
        "late": [band.holds(value) for band, value in zip(team.late_by_day, late, strict=True)],
        "load": [line.came.holds(true.came[line.day, line.hour]) for line in team.hours],
        "string": [use.metres.holds(metres) for use, metres in zip(said.strings, true.metres, strict=True)],
    }
