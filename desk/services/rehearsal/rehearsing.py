"""One rehearsal from beginning to end: what is known, who is asked about, what it came to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Machine, Player, Stringer
from desk.queries.rehearsal.answers import Answer, answer
from desk.queries.rehearsal.day_figures import CountFigures
from desk.queries.rehearsal.drawn_days import DrawnDays
from desk.queries.rehearsal.event_picture import picture_of
from desk.queries.rehearsal.seen import SeenDays
from desk.queries.rehearsal.teams import teams_of
from desk.services.event_files import EventFiles, script_of
from desk.services.rehearsal.asking import Asked
from desk.services.rehearsal.files import seen_in_files
from desk.trade.rehearsed.picture import Picture
from solver.rehearsal import HowPlayed, Progress, Team, play_many

Tell = Callable[[Progress], None]


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A rehearsal read from the records, free of them from then on."""

    event_name: str
    picture: Picture
    teams: tuple[Team, ...]
    own: dict[str, tuple[str | None, str | None]]
    how: HowPlayed
    promise_share: float


def prepare(
    session: Session, event: Event, asked: Asked, *, seen: SeenDays | None = None, like: Picture | None = None
) -> Prepared:
    """Read all that a rehearsal needs."""
    assumed = asked.assumed
    return Prepared(
        event_name=event.name,
        picture=picture_of(session, event, assumed, seen, like),
        teams=tuple(teams_of(session, event, asked.teams)),
        own=_own(session, event),
        how=HowPlayed(spread=assumed.risks.spread, target_minutes=event.target_minutes, effort=asked.effort),
        promise_share=event.promise_per_cent / 100,
    )


def rehearse(prepared: Prepared, asked: Asked, tell: Tell | None = None) -> Answer:
    """Play the event as often as asked, by every team, and sum it up."""
    picture = prepared.picture
    found = play_many(
        DrawnDays(picture, prepared.own),
        prepared.teams,
        asked.replications,
        CountFigures(picture.days),
        how=prepared.how,
        workers=asked.workers,
        tell=tell,
    )
    return answer(picture, prepared.teams, found, asked.goal, prepared.promise_share)


def seen_of(session: Session, event: Event, files: EventFiles | None) -> SeenDays | None:
    """Return the racquets that an event's files bring; None: those of its records."""
    return None if files is None else seen_in_files(session, event, script_of(files))


def _own(session: Session, event: Event) -> dict[str, tuple[str | None, str | None]]:
    """Each player's own stringer and machine by code, where the lead has given them."""
    found = (
        select(Player.code, Stringer.code, Machine.code)
        .outerjoin(Stringer, Stringer.id == Player.own_stringer_id)
        .outerjoin(Machine, Machine.id == Player.own_machine_id)
        .where(Player.event_id == event.id)
    )
    return {player: (stringer, machine) for player, stringer, machine in session.execute(found)}
