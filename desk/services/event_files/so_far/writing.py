"""Writing an event as a folder: its tables for people, and beside them a file with all its records."""

from __future__ import annotations

import csv
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event
from desk.services.event_files.folder import SETTINGS_FILE
from desk.services.event_files.so_far.as_tables import EventAsTables, settings_text
from desk.services.event_files.so_far.scope import EVENT, NOT_OF_THE_EVENT, rows_of, tables_of_event, to_plain
from desk.services.event_files.tables.all_tables import TABLES
from exports.text import guard, like_a_number

SO_FAR = "so_far.json"


def write_event(session: Session, event: Event, folder: Path) -> int:
    """Write the event into the new or empty FOLDER, for its owner alone, and return the number of rows.

    `event.toml` and the CSV tables are those that `import` and `day` read; `so_far.json` holds every
    row of the event, so that `import` stores it as it stands.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Conflict(f"{folder} is there already and not empty; choose a new name.")
    if not folder.parent.is_dir():
        raise BadInput(f"There is no folder {folder.parent}; make it first.")
    folder.mkdir(mode=0o700, exist_ok=True)
    with _all_or_nothing(folder):
        # Empty until all else is written: `import` refuses a folder that was left half way.
        _write(folder / SO_FAR, "")
        _write(folder / SETTINGS_FILE, settings_text(session, event))
        written = EventAsTables(session, event)
        for table in TABLES:
            if rows := list(written.rows(table)):
                _write_table(folder / f"{table.name}.csv", [column.name for column in table.columns], rows)
        content, count = _so_far(session, event)
        content["tables"] = tables_stamp(folder)
        text = json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
        (folder / SO_FAR).write_text(text, encoding="utf-8", newline="\n")
    return count


@contextmanager
def _all_or_nothing(folder: Path) -> Iterator[None]:
    try:
        yield
    except BaseException as error:
        for file in folder.iterdir():
            file.unlink()
        folder.rmdir()
        if isinstance(error, OSError):
            raise Conflict(f"{folder} could not be written ({error.strerror}); nothing was kept of it.") from error
        raise


def tables_stamp(folder: Path) -> str:
    """Return a digest of each CSV table of FOLDER, so that a changed one is noticed."""
    stamp = sha256()
    for file in sorted(folder.glob("*.csv")):
        stamp.update(file.name.encode() + b"\x00" + file.read_bytes().replace(b"\r\n", b"\n") + b"\x00")
    return stamp.hexdigest()


def _so_far(session: Session, event: Event) -> tuple[dict[str, Any], int]:
    head = {c.name: to_plain(getattr(event, c.name)) for c in EVENT.columns if c.name not in NOT_OF_THE_EVENT}
    rows: dict[str, list[dict[str, Any]]] = {}
    for table in tables_of_event():
        # A key that makes a form count once is of these records; in others it would stand in the way.
        dropped = {c.name for c in table.columns if c.name == "request_key" and c.nullable}
        rows[table.name] = [
            {name: to_plain(value) for name, value in row._mapping.items() if name not in dropped}
            for row in session.execute(rows_of(table, event.id))
        ]
    return {"event": {"id": event.id} | head, "rows": rows}, sum(map(len, rows.values()))


def _write(file: Path, text: str) -> None:
    with open(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w", encoding="utf-8", newline="\n") as out:
        out.write(text)


def _write_table(file: Path, header: list[str], rows: list[dict[str, Any]]) -> None:
    with open(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        writer.writerows([_cell(row[name]) for name in header] for row in rows)


def _cell(value: Any) -> str:
    """Return a value as no spreadsheet runs it; reading takes the apostrophe away again."""
    text = "" if value is None else str(value)
    return text if like_a_number(text) else guard(text)
