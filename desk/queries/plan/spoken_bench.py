"""With whom a racquet is strung: "with S1, as always", or "not with S1, who is off until 14:00"."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event
from desk.queries.counter.job_cards import CardView
from desk.queries.plan.own_bench import NOBODY, OwnBench, own_benches
from desk.queries.play.play_records import clock_of
from desk.queries.team.team import StringerRow, stringer_rows

Why = Literal["", "gone", "busy", "off", "away", "no_hours"]


@dataclass(frozen=True, kw_only=True)
class WithWhom:
    """Who strings a racquet, and the player's own stringer where that is another.

    `why` says why not with them: gone from the team, busy, off until `until`, away without a time, or no
    hours ahead. `beside` says it in words: "as always", "not with S1, who is off until 14:00", or nothing.
    """

    name: str
    as_always: bool = False
    own: str = ""
    why: Why = ""
    until: datetime | None = None
    beside: str = ""

    @property
    def text(self) -> str:
        return f"with {self.name}{', ' if self.beside else ''}{self.beside}"

    @property
    def note(self) -> str:
        """What stands beside the name, as a sentence of its own."""
        return f"{self.beside[0].upper()}{self.beside[1:]}." if self.beside else ""


class SpokenBenches:
    """Speaks of the stringers of some players, or of all, as it stands at AT; reads everything once."""

    def __init__(self, session: Session, event: Event, at: datetime, player_ids: Iterable[int] | None = None) -> None:
        self.own = own_benches(session, event, player_ids)
        self.team = {row.stringer_id: row for row in stringer_rows(session, event, at)}
        self.clock, self.at = clock_of(session, event), at

    def own_of(self, player_id: int) -> OwnBench:
        return self.own.get(player_id, NOBODY)

    def of(self, player_id: int, stringer_id: int | None, *, on_court: bool = False) -> WithWhom | None:
        """Return with whom a racquet is strung; None while nobody has it. From the court it is whoever is free."""
        row, own = self.team.get(stringer_id or 0), self.own_of(player_id)
        if row is None:
            return None
        if on_court or not own.binds or own.stringer_id is None:
            return WithWhom(name=row.name)
        if own.stringer_id == stringer_id:
            chosen = "as the lead chose" if own.why == "lead" else ""
            return WithWhom(name=row.name, as_always=own.has_strung, beside="as always" if own.has_strung else chosen)
        why, until = _why_not(self.team.get(own.stringer_id))
        beside = f"not with {own.stringer}, who {self._because(why, until)}"
        return WithWhom(name=row.name, own=own.stringer, why=why, until=until, beside=beside)

    def own_note(self, player_id: int) -> str:
        """Say it where the player's own stringer is not at work: "S1 is off until 14:00."; else nothing."""
        own = self.own_of(player_id)
        why, until = _why_not(self.team.get(own.stringer_id or 0))
        if own.stringer_id is None or why == "busy":
            return ""
        return f"{own.stringer} {self._because(why, until)}."

    def _because(self, why: Why, until: datetime | None) -> str:
        if until is not None:
            return f"is off until {self.clock.spoken(until, self.at)}"
        return {"gone": "has left the team", "busy": "is busy then", "away": "is away"}.get(why, "has no hours ahead")


def _why_not(row: StringerRow | None) -> tuple[Why, datetime | None]:
    if row is None:
        return "gone", None
    if row.at_work:
        return "busy", None
    back_at = row.back_at if row.absent else row.next_at
    if back_at is None:
        return ("away" if row.absent else "no_hours"), None
    return "off", back_at


def with_whom_of(session: Session, event: Event, at: datetime, cards: Iterable[CardView]) -> dict[int, WithWhom]:
    """Return with whom each racquet is or was strung, or is planned, by job; nothing where nobody has it."""
    shown = list(cards)
    if not shown:
        return {}
    benches = SpokenBenches(session, event, at, {card.player_id for card in shown})
    planned = (
        select(Assignment.job_id, Assignment.stringer_id)
        .where(Assignment.run_id == (event.current_run_id or 0))
        .where(Assignment.job_id.in_([card.job_id for card in shown if card.state == "waiting"]))
    )
    places = dict(session.execute(planned).all())
    found = {
        card.job_id: benches.of(card.player_id, card.stringer_id or places.get(card.job_id), on_court=card.on_court)
        for card in shown
    }
    return {job_id: one for job_id, one in found.items() if one is not None}
