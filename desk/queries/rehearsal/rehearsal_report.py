"""A rehearsal's answer as the rows of its files and of its screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, StringType
from desk.queries.play.play_records import clock_of
from desk.queries.rehearsal.answers import Answer, StringUse, TeamAnswer
from desk.queries.rehearsal.day_figures import PADS
from desk.queries.row_making import row_of
from desk.queries.string.sold import pieces_left, sold_as
from desk.queries.string.store import own_reels, string_label
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.reel_choice import Left
from desk.trade.racquet.set_count import BY_THE_REEL, Later, Sold, pieces_for, to_order
from desk.trade.rehearsed.picture import Picture
from exports.rehearsal.rehearsal_rows import (
    RehearsalReport,
    RehearsedHourRow,
    RehearsedPromiseRow,
    RehearsedStringerRow,
    RehearsedStringRow,
    RehearsedTeamRow,
    Spread,
)
from solver.rehearsal import Band


@dataclass(frozen=True, kw_only=True)
class StringStock:
    """One string as it stands in the store: its label, what the desk has, how it is sold, gauge and material."""

    label: str
    sold: Sold = BY_THE_REEL
    left: tuple[Left, ...] = ()
    gauge_mm: float | None = None
    material: str = ""

    @property
    def metres(self) -> float:
        return round(sum(one.left_m for one in self.left), 2)


def string_stock(session: Session, event: Event) -> dict[str, StringStock]:
    """Return the desk's own string by code: what is left, and how it is sold."""
    rows = own_reels(session, event)
    strings = session.scalars(select(StringType).where(StringType.event_id == event.id))
    return {
        one.code: StringStock(
            label=string_label(one),
            sold=sold_as(rows[one.id]),
            left=pieces_left(rows[one.id]),
            gauge_mm=one.gauge_mm,
            material=one.material.replace("_", " "),
        )
        for one in strings
    }


def rehearsal_report(session: Session, event: Event, picture: Picture, answer: Answer, at: datetime) -> RehearsalReport:
    """Return all rows; the order of string is by the far end of the band, less what is in stock."""
    clock = clock_of(session, event)
    return RehearsalReport(
        event_name=event.name,
        made_at=clock.local(at).replace(tzinfo=None),
        replications=answer.replications,
        goal=str(answer.goal),
        least_team="none of these" if answer.least is None else answer.least.team.name,
        assumptions=tuple(assumptions(picture)),
        teams=tuple(_team(one) for one in answer.teams),
        promises=tuple(
            RehearsedPromiseRow(team=one.team.name, pad_min=pad, kept_pct=_pct(band))
            for one in answer.teams
            for pad, band in zip(PADS, one.kept, strict=True)
        ),
        hours=tuple(row for one in answer.teams for row in _hours(one, picture, clock)),
        stringers=tuple(
            RehearsedStringerRow(
                team=one.team.name, stringer=line.stringer, strung_h=_spread(line.hours), on_shift_h=line.on_shift
            )
            for one in answer.teams
            for line in one.stringers
        ),
        strings=tuple(string_rows(answer, string_stock(session, event))),
    )


def assumptions(picture: Picture) -> list[str]:
    """What was assumed, as sentences."""
    habits, risks = picture.habits, picture.risks
    source = f"counted on {habits.known} visits" if habits.known else "common practice, since nothing is known yet"
    return [
        f"{len(picture.players)} players, {len(picture.matches)} matches on {len(picture.days)} days.",
        f"{habits.mean_racquets:.1f} racquets a player and match, {habits.on_court:.2f} more from a match in play: "
        f"{source}.",
        f"Bench times vary by {risks.spread} %. Rain on {risks.rain:.0%} of days, about {risks.rain_min} minutes.",
        f"A machine fails on {risks.machine_fails:.1%} of days, a stringer is away on {risks.stringer_away:.1%}.",
        f"Match lengths at {100 * picture.settings.scale:.0f} % of the published ones.",
    ]


def string_rows(answer: Answer, stock: Mapping[str, StringStock]) -> list[RehearsedStringRow]:
    """Return each string that is used: the desk's first, most used first."""
    rows = []
    for use in sorted(answer.strings, key=lambda use: (use.own, -use.metres.middle)):
        there = stock.get(use.code, StringStock(label=use.code))
        rows.append(
            row_of(
                RehearsedStringRow,
                there,
                string=there.label,
                whose="players'" if use.own else "desk's",
                metres=_spread(use.metres),
                in_stock_m=0.0 if use.own else there.metres,
                piece=there.sold.word,
                piece_m=there.sold.metres,
                order=None if use.own else to_order(there.sold, there.left, _at_most(use)),
                pieces=pieces_for(there.sold, _at_most(use)),
            )
        )
    return rows


def _at_most(use: StringUse) -> Later:
    """What the far end of the band takes, in metres and in halves of beds."""
    return Later(halves=use.metres.high / use.half_m if use.half_m else 0.0, metres=use.metres.high)


def _team(one: TeamAnswer) -> RehearsedTeamRow:
    return RehearsedTeamRow(
        team=one.team.name,
        stringers=one.people,
        machines=len(one.team.machines),
        shift_hours=one.shift_hours,
        racquets=_spread(one.racquets),
        late_pct=_pct(one.late),
        hit_pct=_pct(one.hit),
        on_court_late_pct=_pct(one.on_court_late),
        pad_min=one.pad,
        longest_wait_min=_spread(one.longest_wait),
        good_days_pct=100 * one.on_time_days,
        keeps_goal=one.keeps_goal,
    )


def _hours(one: TeamAnswer, picture: Picture, clock: EventClock) -> Sequence[RehearsedHourRow]:
    return [
        RehearsedHourRow(
            team=one.team.name,
            day=clock.day_name(clock.day_of(picture.days[line.day].opens)),
            hour=f"{line.hour:02}",
            hands=line.hands,
            came=_spread(line.came),
            work_h=_spread(line.work),
            waiting=_spread(line.waiting),
            longest_wait_min=_spread(line.wait),
        )
        for line in one.hours
    ]


def _spread(band: Band, times: int = 1) -> Spread:
    return Spread(mean=times * float(band.middle), low=times * float(band.low), high=times * float(band.high))


def _pct(band: Band) -> Spread:
    return _spread(band, 100)
