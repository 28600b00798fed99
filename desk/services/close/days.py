"""Closing a day, and what may happen to it afterwards.

A closed day ends at the moment of closing, as a till does: racquets strung, handed over or paid for later
count for the next day. The lead may open the last closed day again, with a reason: then its figures as they
were signed stay on record, and its sheet says that it is a further one. The figures of a closed day
are kept. When the records give other figures later (somebody takes back what was done that day), the usage
sheet shows both, and says that nobody has noted why, until the desk lead does so with `correct_day`. So a
changed record always shows on the sheet, whichever screen changed it.
"""

from __future__ import annotations

from datetime import date, datetime
from functools import partial
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, DeskError
from desk.installation import setting
from desk.models import DayCorrection, DayOpening, Event, EventDay
from desk.models.database import Database
from desk.queries.close import changes, kept_figures
from desk.queries.close.day_checks import check_list
from desk.queries.close.usage_files import FORMATS, file_name, put_file, read_usage, usage_bytes
from desk.services.acting import Acting, lock_and_find, log_change
from desk.trade.event.event_time import EventClock
from exports.report import UsageReport
from exports.summary import day_text

_log = partial(log_change, subject="days", plan=False)

LONGEST_NOTE = 500


class StillOpen(Conflict):
    """The desk is open for business: the lead is asked in the words of what waits."""


def close_day(session: Session, event_id: int, day_id: int, *, acting: Acting, while_open: bool = False) -> EventDay:
    """Close a day: its figures are kept as they stand now. WHILE_OPEN says that the lead was asked.

    Refused while an earlier day is open, or something on the check list forbids it.
    """
    event, day = lock_and_find(session, event_id, EventDay, day_id, "day")
    _require_closable(session, event, day, acting)
    if not while_open and (words := open_words(session, event, day, at=acting.at)):
        raise StillOpen(words)
    report = read_usage(session, event, day.date, at=acting.at)
    day.figures = kept_figures(report.summary, report.reels)
    day.closed_at, day.closed_by = acting.at, acting.by
    strung, left = report.summary.racquets_strung, report.summary.carried_over
    _log(session, event, acting, f"{day_text(day.date)} closed: {strung} strung, {left} carried over")
    return day


def _require_closable(session: Session, event: Event, day: EventDay, acting: Acting) -> None:
    if day.closed_at is not None:
        raise Conflict(f"{day_text(day.date)} was closed by {day.closed_by} already; note a correction instead.")
    if acting.at < day.opens_at:
        raise Conflict(f"{day_text(day.date)} has not begun; it can be closed when its work is done.")
    first = earlier_open(session, event, day)
    if first is not None:
        raise Conflict(f"{day_text(first.date)} is not closed yet; close the days in their order.")
    for item in check_list(session, event, day, at=acting.at):
        if item.forbids:
            raise Conflict(f"{', '.join(item.names)}: {item.text}")


def earlier_open(session: Session, event: Event, day: EventDay) -> EventDay | None:
    """Return the first day before DAY that is not closed yet."""
    found = select(EventDay).where(
        EventDay.event_id == event.id, EventDay.date < day.date, EventDay.closed_at.is_(None)
    )
    return session.scalars(found.order_by(EventDay.date)).first()


def open_words(session: Session, event: Event, day: EventDay, *, at: datetime) -> str:
    """Ask in the words of what waits whether a day is to be closed before the desk closes; nothing after that."""
    if day.closed_at is not None or at >= day.closes_at:
        return ""
    waits = [
        f"{one.count} {one.key.replace('_', ' ')}"
        for one in check_list(session, event, day, at=at)
        if one.key in ("on_machine", "waiting", "held", "uncollected") and one.count
    ]
    clock = EventClock(event.time_zone, day.date)
    open_till = f"The desk is open until {clock.local(day.closes_at):%H:%M}, now it is {clock.local(at):%H:%M}"
    return (
        f"{open_till}; {', '.join(waits) or 'nothing'} at the desk. What comes after closing counts for the next day."
    )


def open_again(session: Session, event_id: int, day_id: int, *, reason: str, acting: Acting) -> EventDay:
    """Open the last closed day again; its figures as they were signed stay on record.

    Refused without a reason, or when a later day is closed.
    """
    event, day = lock_and_find(session, event_id, EventDay, day_id, "day")
    text = reason.strip()
    if not 0 < len(text) <= LONGEST_NOTE:
        raise BadInput(
            f"Say why in up to {LONGEST_NOTE} letters; it stands on the sheet.", fields={"reason": "say why"}
        )
    if day.closed_at is None:
        raise Conflict(f"{day_text(day.date)} is open already.")
    later = [one for one in event.days if one.date > day.date and one.closed_at is not None]
    if later:
        raise Conflict(
            f"{day_text(later[0].date)} is closed already; note a correction of {day_text(day.date)} instead."
        )
    session.add(
        DayOpening(
            day_id=day.id, at=acting.at, by=acting.by, reason=text,
            closed_at=day.closed_at, closed_by=day.closed_by, figures=day.figures,
        )
    )  # fmt: skip
    day.closed_at, day.closed_by, day.figures = None, "", None
    _log(session, event, acting, f"{day_text(day.date)} opened again: {text}")
    return day


def day_changes(session: Session, event: Event, day: EventDay, *, at: datetime) -> list[tuple[str, str, str]]:
    """Return what differs since the day was closed or last corrected: figure, as it was, as it is."""
    if day.closed_at is None:
        return []
    report = read_usage(session, event, day.date, at=at)
    return changes(day.figures, kept_figures(report.summary, report.reels), event.currency)


def correct_day(session: Session, event_id: int, day_id: int, *, note: str, acting: Acting) -> list[DayCorrection]:
    """Note why a closed day's figures changed: a line for each of them, or one where none did.

    Refused without a note, or while the day is open: then it needs no correction.
    """
    event, day = lock_and_find(session, event_id, EventDay, day_id, "day")
    text = note.strip()
    if not 0 < len(text) <= LONGEST_NOTE:
        raise BadInput(
            f"Say why in up to {LONGEST_NOTE} letters, so that the organiser understands it.",
            fields={"note": "say why"},
        )
    if day.closed_at is None:
        raise Conflict(f"{day_text(day.date)} is not closed; correct it where it is wrong, without a note.")
    report = read_usage(session, event, day.date, at=acting.at)
    now = kept_figures(report.summary, report.reels)
    rows = [
        DayCorrection(day_id=day.id, at=acting.at, by=acting.by, subject=what, before=before, after=after, note=text)
        for what, before, after in changes(day.figures, now, event.currency) or [("", "", "")]
    ]
    session.add_all(rows)
    day.figures = now
    _log(session, event, acting, f"Correction of {day_text(day.date)} noted: {text}")
    return rows


def end_day(
    database: Database, event_id: int, day_id: int, *, acting: Acting, while_open: bool = False
) -> tuple[EventDay, list[Path], str]:
    """Close a day, then put a copy of its sheets into the folder of DESK_EXPORT_FOLDER, where one is set.

    A copy that cannot be written does not open the day again: the last value says what is wrong with it.
    """
    with database.writing() as session:
        day = close_day(session, event_id, day_id, acting=acting, while_open=while_open)
    folder = setting("DESK_EXPORT_FOLDER")
    if not folder:
        return day, [], ""
    try:
        with database.reading() as session:
            event = session.get_one(Event, event_id)
            return day, copy_sheets(session, event, day.date, Path(folder), at=acting.at), ""
    except DeskError as error:
        return day, [], str(error)


def copy_sheets(session: Session, event: Event, day: date, folder: Path, *, at: datetime) -> list[Path]:
    """Write a day's workbook, tables and JSON into a folder, each whole or not at all; return the files."""
    report: UsageReport = read_usage(session, event, day, at=at)
    files = [folder / file_name(event, day, suffix) for suffix in FORMATS]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f'The folder "{folder}" cannot be made: {error.strerror}. Set DESK_EXPORT_FOLDER.') from error
    for file in files:
        put_file(file, usage_bytes(report, file.suffix, csv_form=event.csv_form))
    return files
