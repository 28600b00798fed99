"""Every mention of a name in the texts of an event, found by walking the schema."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from sqlalchemy import JSON, Column, String, func, select, update
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Base, Event, EventDay
from desk.queries.finding import in_event
from desk.services.acting import Acting

NAMED = ("player", "contact", "stringer", "account", "machine", "court", "frame", "string_type", "trusted_device")
"""Tables with names of their own, which are no mentions of a player."""

STAFF = ("by", "closed_by", "undone_by", "trusted_by", "holder")


def require_over(session: Session, event: Event, acting: Acting) -> None:
    """Refuse before the last day of the event is over."""
    ends_at = session.scalar(select(func.max(EventDay.closes_at)).where(EventDay.event_id == event.id))
    if event.status == "open" and ends_at is not None and acting.at < ends_at:
        raise Conflict(f"{event.name} is not over; personal data are erased after its last day.")


def replace_everywhere(session: Session, event: Event, names: re.Pattern[str], code: str) -> None:
    """Put CODE in place of the NAMES in every text of the event, but in the names of persons and things."""
    for table in Base.metadata.sorted_tables:
        held = in_event(table, event.id)
        columns = [column for column in table.c if _may_name_a_player(column)]
        if held is None or not columns:
            continue
        for row in session.execute(select(table.c.id, *columns).where(held)).all():
            was = dict(zip((column.name for column in columns), row[1:], strict=True))
            now = {name: new for name, value in was.items() if (new := _without(value, names, code)) != value}
            if now:
                session.execute(update(table).where(table.c.id == row.id).values(now))
    session.expire_all()


def _without(value: Any, names: re.Pattern[str], code: str) -> Any:
    """Return a text, or what JSON holds, with CODE in place of the names."""
    if isinstance(value, str):
        return names.sub(code, value)
    if isinstance(value, list):
        return [_without(one, names, code) for one in value]
    if isinstance(value, dict):
        return {key: _without(one, names, code) for key, one in value.items()}
    return value


def _may_name_a_player(column: Column) -> bool:
    named = column.table.name in NAMED and column.name in ("name", "search_name", "code", "token")
    return isinstance(column.type, (String, JSON)) and not named and column.name not in STAFF


def words_of(names: Iterable[str], others: Iterable[str] = (), exactly: Iterable[str] = ()) -> re.Pattern[str]:
    """Match the names, however they are capitalised, and other words EXACTLY as they are; the longest first.

    A name with the code of one of the OTHERS behind it is that player's.
    """
    flags = dict.fromkeys(exactly, "") | dict.fromkeys(names, "i")
    ordered = sorted((word for word in flags if word.strip()), key=len, reverse=True)
    namesake = "".join(rf"(?! \({re.escape(code)}\))" for code in others)
    return re.compile("|".join(rf"(?<!\w)(?{flags[word]}:{re.escape(word)})(?!\w){namesake}" for word in ordered))
