"""Storing an event as it stood when it was written: every row under a new number."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Table, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, InputFault
from desk.models import Event
from desk.services.acting import Acting, write_log
from desk.services.event_files.cells.understanding import understand
from desk.services.event_files.folder import read_settings
from desk.services.event_files.raw import RawTable
from desk.services.event_files.so_far.scope import EVENT, NOT_OF_THE_EVENT, from_plain, tables_of_event, target_of
from desk.services.event_files.so_far.writing import SETTINGS_FILE, SO_FAR, tables_stamp
from desk.services.event_files.tables.event_table import EVENT as EVENT_TABLE
from desk.services.event_files.tables.event_table import as_stored
from desk.trade.event.event_time import EventClock

MOST_BYTES = 200_000_000


def store_so_far(session: Session, folder: Path, *, acting: Acting) -> Event:
    """Store the event that was written into FOLDER, as it stood then.

    The settings are those of event.toml, so that it can be stored under another slug; who may sign in and the plan do
    not come along. Refused when the file is damaged, a table was changed since, or there is such an event already.
    """
    settings, content = _settings(folder), _content(folder)
    if content.get("tables") != tables_stamp(folder):
        raise Conflict(
            f"A table in {folder.name} was changed after the event was written. Delete {SO_FAR} to import the tables "
            "alone, as an event that begins; or bring the tables back as they were."
        )
    if session.scalar(select(Event.id).where(Event.slug == settings["slug"])) is not None:
        raise Conflict(
            f'There is an event "{settings["slug"]}" in the records already. '
            f"Change the slug in {SETTINGS_FILE} to import it as another event."
        )
    try:
        with session.begin_nested():
            event = _Storing(session, content).run(settings)
    except IntegrityError as error:
        raise BadInput(f"{SO_FAR} does not fit together ({error.orig}); nothing was stored.") from error
    write_log(session, event, acting, "event", f"{event.name} imported as it stood")
    return event


def _settings(folder: Path) -> dict[str, Any]:
    faults: list[InputFault] = []
    raw = read_settings(folder / SETTINGS_FILE, faults)
    clock = EventClock("UTC", date(2000, 1, 1))
    rows = understand(EVENT_TABLE, raw if raw.rows else RawTable(raw.label), clock=clock, currency="EUR", faults=faults)
    if faults or not rows:
        raise BadInput(f"{SETTINGS_FILE} has faults; nothing was stored.", faults=faults)
    given = set(raw.rows[0].cells)
    return {name: value for name, value in rows[0].values.items() if name in given}


def _content(folder: Path) -> dict[str, Any]:
    file = folder / SO_FAR
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadInput(f"{SO_FAR} is larger than {MOST_BYTES // 1_000_000} MB.")
        text = file.read_text(encoding="utf-8")
        if not text:
            raise BadInput(f"{folder} was not written to its end; write it anew by `export-event`.")
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput(f"{SO_FAR} is damaged ({error}); delete it to import the tables alone.") from error
    if not isinstance(content, dict) or not isinstance(content.get("event"), dict):
        raise BadInput(f"{SO_FAR} is no event as it stood; delete it to import the tables alone.")
    return content


class _Storing:
    """One import: the new number of every row by its old one."""

    def __init__(self, session: Session, content: dict[str, Any]) -> None:
        self.session = session
        self.content = content
        self.ids: dict[str, dict[int, int]] = {}

    def run(self, settings: dict[str, Any]) -> Event:
        event = self._event(settings)
        self.ids[EVENT.name] = {self._old_event(): event.id}
        for table in tables_of_event():
            self._store(table)
        self.session.flush()
        return event

    def _old_event(self) -> int:
        return self._number(EVENT, 0, "id", self.content["event"].get("id"))

    def _number(self, table: Table, place: int, name: str, value: Any) -> int:
        if not isinstance(value, int):
            raise _fault(table, place, name, value, "the number of a row")
        return value

    def _event(self, settings: dict[str, Any]) -> Event:
        columns = [column for column in EVENT.columns if column.name not in NOT_OF_THE_EVENT]
        written = self.content["event"]
        values = {c.name: self._value(c, 0, written[c.name]) for c in columns if c.name in written}
        event = Event(**(values | as_stored(settings)))
        self.session.add(event)
        self.session.flush()
        return event

    def _value(self, column: Column[Any], place: int, value: Any) -> Any:
        try:
            return from_plain(column, value)
        except ValueError as error:
            raise _fault(column.table, place, column.name, value, str(error)) from error

    def _store(self, table: Table) -> None:
        written = self.content.get("rows", {}).get(table.name, [])
        if not isinstance(written, list) or not all(isinstance(row, dict) for row in written):
            raise BadInput(f"{SO_FAR}: the rows of {table.name} are no list of rows.")
        rows = list(self._rows(table, written))
        if not rows:
            self.ids[table.name] = {}
            return
        if "token" in table.c:
            self._new_tokens(table, rows)
        stored = self.session.scalars(insert(table).returning(table.c.id, sort_by_parameter_order=True), rows).all()
        self.ids[table.name] = {row["id"]: number for row, number in zip(written, stored, strict=True)}
        self._point_within(table, written)

    def _rows(self, table: Table, written: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
        columns = [column for column in table.columns if column.name != "id"]
        names = {column.name for column in table.columns}
        for place, row in enumerate(written, start=1):
            for name in set(row) - names:
                raise _fault(table, place, name, row[name], "no such column")
            self._number(table, place, "id", row.get("id"))
            yield {c.name: self._refer(c, place, row[c.name]) for c in columns if c.name in row}

    def _refer(self, column: Column[Any], place: int, value: Any) -> Any:
        target = target_of(column)
        if target is None or value is None:
            return self._value(column, place, value)
        if target == column.table.name:
            return None
        number = self._number(column.table, place, column.name, value)
        if number not in self.ids.get(target, {}):
            raise _fault(column.table, place, column.name, value, f"the number of a row of {target}")
        return self.ids[target][number]

    def _point_within(self, table: Table, written: list[dict[str, Any]]) -> None:
        """Fill in what refers to a row of the same table, now that all of them have their numbers."""
        ids = self.ids[table.name]
        for column in table.columns:
            if target_of(column) == table.name:
                for row in written:
                    if row.get(column.name) in ids:
                        changed = update(table).where(table.c.id == ids[row["id"]])
                        self.session.execute(changed.values({column.name: ids[row[column.name]]}))

    def _new_tokens(self, table: Table, rows: list[dict[str, Any]]) -> None:
        """A second copy of an event in the same records gets links of its own."""
        wanted = [row.get("token") for row in rows]
        taken = set(self.session.scalars(select(table.c.token).where(table.c.token.in_(wanted))))
        for row in rows:
            if row.get("token") in taken or "token" not in row:
                row["token"] = secrets.token_urlsafe(16)


def _fault(table: Table, place: int, name: str, value: Any, expected: str) -> BadInput:
    where = f"{SO_FAR}, {table.name} row {place}, {name}"
    fault = InputFault(where=where, found=repr(value)[:60], expected=expected)
    return BadInput(f"{SO_FAR} has a fault; nothing was stored.", faults=[fault])
