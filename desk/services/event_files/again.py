"""Corrected files in place of an imported event, as long as nothing happened at its desk yet."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Assignment, Base, Charge, Event, Job, LogEntry, PlanRun, RehearsalRun, Settlement, WordWay
from desk.queries.event.events import event_by_slug
from desk.queries.finding import in_event
from desk.services.acting import Acting, lock_event, note_change
from desk.services.event_files.reading import EventFiles
from desk.services.event_files.so_far.scope import tables_of_event
from desk.services.event_files.storing import IMPORTED, set_event
from desk.services.event_files.tables.event_table import as_stored

_HAPPENED: dict[type[Base], str] = {
    Job: "racquets were dropped off",
    Charge: "something was charged",
    Settlement: "something was paid",
    WordWay: "somebody asked to be told",
}


def changed_since(session: Session, slug: str) -> list[str]:
    """Return what the log says of the event of that short name since it was imported, which would be gone."""
    event = event_by_slug(session, slug)
    log = select(LogEntry).where(LogEntry.event_id == event.id)
    imported = select(func.max(LogEntry.id)).where(LogEntry.event_id == event.id, LogEntry.text.contains(IMPORTED))
    since = log.where(LogEntry.id > func.coalesce(imported.scalar_subquery(), 0)).order_by(LogEntry.id)
    return [line.text for line in session.scalars(since)]


def store_again(session: Session, files: EventFiles, *, known: Sequence[str], acting: Acting) -> Event:
    """Put the files in the place of the event of their short name, whose log, accounts and devices stay.

    KNOWN is what `changed_since` gave: refused where more was changed meanwhile, or something happened at the desk.
    """
    slug = files.settings["slug"]
    event = lock_event(session, event_by_slug(session, slug).id)
    for table, what in _HAPPENED.items():
        if session.scalar(select(func.count()).select_from(table).where(in_event(table.__table__, event.id))):
            raise Conflict(
                f'"{slug}" is not imported again: {what}. Correct it on its screens: Settings for days, prices and the '
                "event, Team, Machines, Players, String, Order of play."
            )
    if changed_since(session, slug) != list(known):
        raise Conflict(f'"{slug}" was changed a moment ago. Import it again to see what would be gone.')
    with session.begin_nested():
        _empty(session, event)
        for name, value in as_stored(files.settings.values).items():
            setattr(event, name, value)
        event.current_run_id = None
        note_change(event)
        return set_event(session, files, event, acting)


def _empty(session: Session, event: Event) -> None:
    made_anew = [table.__table__ for table in (Assignment, PlanRun, RehearsalRun)]
    for table in [*made_anew, *reversed(tables_of_event())]:
        if table.name != LogEntry.__tablename__:
            session.execute(delete(table).where(in_event(table, event.id)))
    session.expire_all()
