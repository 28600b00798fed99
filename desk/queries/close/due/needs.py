"""For which match a racquet was needed, also when that match was played without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, Event, Match, MatchSide
from desk.queries.row_making import grouped, row_of


@dataclass(frozen=True, kw_only=True)
class Begun:
    """A match that a player played: when it began, and when it ended; times are UTC."""

    code: str
    court: str
    started_at: datetime
    ended_at: datetime | None

    def is_on_at(self, at: datetime) -> bool:
        return self.started_at <= at and (self.ended_at is None or at < self.ended_at)


@dataclass(frozen=True, kw_only=True)
class Missed:
    """A racquet was not strung when it was needed: by when, when it was late, and for which match."""

    at: datetime
    latest_at: datetime
    match: Begun


@dataclass(frozen=True, kw_only=True)
class Leads:
    """How soon a racquet from the court is needed, and how long before its match any other is needed, and late."""

    on_court: timedelta
    lead: timedelta
    walk_on: timedelta

    @classmethod
    def of(cls, event: Event) -> Leads:
        minutes = (event.on_court_minutes, event.lead_minutes, event.walk_on_minutes)
        on_court, lead, walk_on = (timedelta(minutes=one) for one in minutes)
        return cls(on_court=on_court, lead=lead, walk_on=walk_on)


def begun_matches(session: Session, event: Event) -> Mapping[int, Sequence[Begun]]:
    """Return the matches that began, by player, in their order; a walkover never began."""
    found = (
        select(MatchSide.player_id, Match.code, Court.name.label("court"), Match.started_at, Match.ended_at)
        .join(Match, Match.id == MatchSide.match_id)
        .join(Court, Court.id == Match.court_id)
        .where(Match.event_id == event.id, Match.started_at.is_not(None), MatchSide.player_id.is_not(None))
        .where(Match.state != "walkover")
        .order_by(Match.started_at, Match.id)
    )
    return grouped((row.player_id, row_of(Begun, row)) for row in session.execute(found))


def needed_values(values: Mapping[str, Any], begun: Sequence[Begun], leads: Leads) -> dict[str, Any]:
    """Return what a job's VALUES say of its need otherwise, where a match began without it; else nothing.

    Such a racquet goes on to the player's next match in the plan; what it was needed by does not move with it.
    """
    if values["needed_by_kind"] != "match" and not values["on_court"]:
        return {}
    found = _missed(values, begun, leads)
    if found is None or (values["needed_by_at"] is not None and values["needed_by_at"] < found.at):
        return {}
    match = found.match
    about = {"match": match.code, "court": match.court, "match_started_at": match.started_at}
    return about | {"needed_by_at": found.at, "latest_at": found.latest_at}


def _missed(values: Mapping[str, Any], begun: Sequence[Begun], leads: Leads) -> Missed | None:
    """Return the first match that began, or went on, without a racquet that was dropped off for it.

    One that began before the racquet was wanted is none that it was for. A racquet that went back unstrung counts
    as one strung then. A call from the court does not make good that its match began without it.
    """
    strung_at, called_at = values["finished_at"] or values["cancelled_at"], values["called_at"]
    if not values["on_court"]:
        return _began_without(values, begun, leads, strung_at)
    if called_at is not None and values["needed_by_kind"] == "match":
        before = [one for one in begun if one.started_at <= called_at]
        if (found := _began_without(values, before, leads, strung_at)) is not None:
            return found
    since = called_at or values["dropped_at"]
    by = since + leads.on_court
    match = next((one for one in begun if one.is_on_at(since) and one.is_on_at(by)), None)
    return Missed(at=by, latest_at=by, match=match) if match and (strung_at is None or strung_at > by) else None


def _began_without(
    values: Mapping[str, Any], begun: Sequence[Begun], leads: Leads, strung_at: datetime | None
) -> Missed | None:
    dropped_at = values["dropped_at"]
    wanted_from = max(dropped_at, values["not_before_at"] or dropped_at)
    match = next((one for one in begun if one.started_at > wanted_from), None)
    if match is None or (strung_at is not None and strung_at <= match.started_at):
        return None
    at, latest_at = (max(match.started_at - ahead, dropped_at) for ahead in (leads.lead, leads.walk_on))
    return Missed(at=at, latest_at=latest_at, match=match)
