"""Which match a racquet is for, and by when the player must have it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from desk.models import Match
from desk.queries.play.forecasts import Coming, EventForecast
from desk.queries.play.play_records import IN_PLAY, OVER
from desk.trade.play.needed_by import WEIGHT_IN_PLAY, WEIGHT_PRACTICE, WEIGHTS_OF_A_BAG
from solver.speak.one_each import TO_THE_COURT

AFTER_THE_START = timedelta(minutes=TO_THE_COURT)
"""So much later is a racquet wanted that is not needed for the start of its match."""


@dataclass(frozen=True, kw_only=True)
class NeededBy:
    """By when a racquet is needed (None: no time), why, for which match, and the weight of a late minute.

    `latest` is when the player may truly be called. `for_match` says that the weight is that of the first
    racquet of a bag: `Bags` knows which number it is.
    """

    at: datetime | None
    why: str
    match_id: int | None
    weight: int
    latest: datetime | None = None
    for_match: bool = False


@dataclass(frozen=True, kw_only=True)
class Racquet:
    """What the needed-by time of one racquet depends on; `kind` is match, time, none or on_court.

    `follows` says that it is not needed for the start: it follows to the court during the match.
    """

    player_id: int
    kind: str
    dropped_at: datetime
    fixed_at: datetime | None = None
    not_before_at: datetime | None = None
    fixed_why: str = ""
    follows: bool = False


class NeededByFinder:
    """Finds the needed-by time of many racquets from one forecast."""

    def __init__(self, forecast: EventForecast) -> None:
        self.forecast = forecast
        self.coming: Mapping[int, Sequence[Coming]] = forecast.by_player()

    def of(self, racquet: Racquet) -> NeededBy:
        """Return the needed-by time of RACQUET."""
        if racquet.kind == "on_court":
            return self._on_court(racquet)
        if racquet.kind == "none":
            return NeededBy(at=None, why="No time was asked for.", match_id=None, weight=WEIGHT_PRACTICE)
        if racquet.kind == "time":
            return self._fixed(racquet)
        need = self._match(racquet)
        return self._follows(need) if racquet.follows and need.match_id is not None else need

    def _follows(self, need: NeededBy) -> NeededBy:
        """It is wanted during the match, so much after it would be needed for the start, and counts as the last one."""
        assert need.at is not None
        match = self.forecast.records.matches[need.match_id or 0]
        lead = timedelta(minutes=self.forecast.event.lead_minutes if match.state in IN_PLAY else 0)
        late = (need.latest or need.at) - lead
        why = f"{need.why} It follows to the court during the match."
        weight = WEIGHTS_OF_A_BAG[-1]
        at = need.at - lead + AFTER_THE_START
        return replace(need, at=at, latest=max(at, late + AFTER_THE_START), why=why, weight=weight, for_match=False)

    def _fixed(self, racquet: Racquet) -> NeededBy:
        to_come = any(one.match.state not in OVER for one in self._open(racquet))
        weight = WEIGHTS_OF_A_BAG[0] if to_come else WEIGHT_PRACTICE
        why = racquet.fixed_why or "Fixed by the desk."
        return NeededBy(at=racquet.fixed_at, why=why, match_id=None, weight=weight, for_match=to_come)

    def _on_court(self, racquet: Racquet) -> NeededBy:
        event, match = self.forecast.event, self._in_play(racquet)
        at_once = racquet.dropped_at + timedelta(minutes=event.on_court_minutes)
        if match is None:
            if self._match_ended_since(racquet):
                return self._match(racquet)
            why = "Sent from the court: needed at once."
            return NeededBy(at=at_once, why=why, match_id=None, weight=WEIGHT_IN_PLAY)
        where = self._where(match)
        if match.state == "suspended":
            resumes = self.forecast.call_at(match.id)
            why = f"{where} is suspended and not played on before {self.forecast.clock_time(resumes)}."
            return NeededBy(at=max(at_once, resumes), why=why, match_id=match.id, weight=WEIGHT_IN_PLAY)
        return NeededBy(at=at_once, why=f"{where} is on: at once.", match_id=match.id, weight=WEIGHT_IN_PLAY)

    def _match(self, racquet: Racquet) -> NeededBy:
        playing = self._in_play(racquet)
        if playing is not None and playing.started_at is not None and racquet.dropped_at < playing.started_at:
            return self._begun(playing, playing.started_at)
        for one in self._open(racquet):
            if one.match.state == "scheduled" and not self._before_wanted(one.match, racquet):
                return self._scheduled(one)
        return NeededBy(at=None, why=self._why_none(racquet), match_id=None, weight=WEIGHT_PRACTICE)

    def _begun(self, match: Match, started_at: datetime) -> NeededBy:
        """The match that it was dropped off for has begun: the racquet is awaited there."""
        where, clock_time = self._where(match), self.forecast.clock_time
        at, why = started_at, f"{where} began at {clock_time(started_at)}."
        if match.state == "suspended":
            at = self.forecast.call_at(match.id)
            why = f"{where} is suspended and not played on before {clock_time(at)}."
        return NeededBy(at=at, why=why, match_id=match.id, weight=WEIGHT_IN_PLAY)

    def _scheduled(self, coming: Coming) -> NeededBy:
        forecast, match = self.forecast, coming.match
        call = forecast.call_at(match.id)
        lead = forecast.event.lead_minutes
        start = forecast.starts[match.id].start
        sure = f"starts at {forecast.clock_time(call)} at the soonest"
        if start.last > start.first:
            sure = f"starts before {forecast.clock_time(call)} in {forecast.event.early_call_per_cent} of 100 cases"
        wins = f"With a win in {' and '.join(coming.if_wins)}: " if coming.if_wins else ""
        why = f"{wins}{self._where(match)} {sure}; {lead} minutes before that."
        walk_on = forecast.event.walk_on_minutes
        needed = call - timedelta(minutes=lead)
        return NeededBy(
            at=needed,
            latest=max(needed, call - timedelta(minutes=walk_on)),
            why=why,
            match_id=match.id,
            weight=WEIGHTS_OF_A_BAG[0],
            for_match=True,
        )

    def _why_none(self, racquet: Racquet) -> str:
        over = [one for one in self.coming.get(racquet.player_id, ()) if one.match.state in OVER and not one.if_wins]
        if not over:
            return "No match of the player stands in the order of play."
        last = over[-1].match
        how = "is over" if self._went_on(racquet.player_id, last) in (None, True) else "is lost"
        return f"Match {last.code} {how} and no further match of the player stands in the order of play."

    def _where(self, match: Match) -> str:
        return f"Match {match.code} on {self.forecast.records.courts[match.court_id]}"

    def _in_play(self, racquet: Racquet) -> Match | None:
        for one in self.coming.get(racquet.player_id, ()):
            if one.match.state in IN_PLAY and not one.if_wins:
                return one.match
        return None

    def _match_ended_since(self, racquet: Racquet) -> bool:
        return any(
            one.match.ended_at is not None and one.match.ended_at >= racquet.dropped_at and not one.if_wins
            for one in self.coming.get(racquet.player_id, ())
        )

    def _open(self, racquet: Racquet) -> list[Coming]:
        """The player's matches that are not over, without those that a lost match put out of reach."""
        found = [one for one in self.coming.get(racquet.player_id, ()) if one.match.state not in OVER]
        return [one for one in found if not any(self._lost(racquet.player_id, code) for code in one.if_wins)]

    def _lost(self, player_id: int, code: str) -> bool:
        match = next(m for m in self.forecast.records.matches.values() if m.code == code)
        return self._went_on(player_id, match) is False

    def _went_on(self, player_id: int, match: Match) -> bool | None:
        """Whether the player won a match that is over; None while nobody entered the winner."""
        if match.winner_side is None:
            return None
        sides = self.forecast.records.sides.get(match.id, ())
        return any(side.player_id == player_id and side.side == match.winner_side for side in sides)

    def _before_wanted(self, match: Match, racquet: Racquet) -> bool:
        """Whether the match begins before the racquet may be strung at all, so that it is for a later one."""
        wanted = racquet.not_before_at
        return wanted is not None and self.forecast.start_at(match.id, 0.5) <= wanted
