"""Reading a folder of event.toml and CSV tables into raw rows."""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from desk.errors import InputFault
from desk.services.event_files.raw import RawRow, RawTable, clean, quoted, to_raw_table
from desk.services.event_files.tables.spec import Table
from exports.text import unguarded

SETTINGS_FILE = "event.toml"
_UTF8_HELP = 'text in UTF-8: in a spreadsheet choose "CSV UTF-8" when saving'
_LONGEST_CELL = 10_000


def read_folder(folder: Path, tables: Mapping[str, Table], faults: list[InputFault]) -> dict[str, RawTable]:
    """Return the raw rows of every table that FOLDER holds."""
    found = {"event": read_settings(folder / SETTINGS_FILE, faults)}
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() != ".csv":
            continue
        table = tables.get(path.stem.casefold())
        if table is None or table.name == "event":
            expected = "only the tables " + ", ".join(name for name in tables if name != "event")
            faults.append(InputFault(where=path.name, found="a table of an unknown name", expected=expected))
        else:
            found[table.name] = csv_table(table, path.read_bytes(), path.name, faults)
    return found


def read_settings(path: Path, faults: list[InputFault]) -> RawTable:
    """Return the event's settings as one raw row with the number 0."""
    cells: dict[str, str] = {}
    try:
        settings = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        faults.append(InputFault(where=path.name, found="no such file", expected="the settings of the event"))
    except UnicodeDecodeError:
        faults.append(InputFault(where=path.name, found="bytes that are not UTF-8", expected="text in UTF-8"))
    except tomllib.TOMLDecodeError as error:
        faults.append(InputFault(where=path.name, found=str(error), expected='lines such as name = "Open"'))
    else:
        if not settings:
            faults.append(InputFault(where=path.name, found="nothing in it", expected="the event's settings"))
        for name, value in settings.items():
            cells[name] = _setting_text(path.name, name, value, faults)
    return RawTable(path.name, [RawRow(0, cells)] if cells else [])


def _setting_text(label: str, name: str, value: object, faults: list[InputFault]) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str | int | float):
        return clean(str(value))
    faults.append(
        InputFault(where=f"{label}, setting {name}", found=f"{value!r}", expected="a text, a number, true or false")
    )
    return ""


def csv_table(table: Table, data: bytes, label: str, faults: list[InputFault]) -> RawTable:
    """Return the raw rows of one CSV file; comma, semicolon or tab is told from its first line."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        found = f"bytes that are not UTF-8 in line {line}"
        faults.append(InputFault(where=label, found=found, expected=_UTF8_HELP))
        return RawTable(label)
    if "\x00" in text:
        faults.append(InputFault(where=label, found="zero bytes", expected=_UTF8_HELP))
        return RawTable(label)
    return to_raw_table(table, label, _grid(text, label, faults), faults)


def _grid(text: str, label: str, faults: list[InputFault]) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), strict=True)
    number = 0
    while True:
        number += 1
        try:
            cells = [clean(unguarded(cell)) for cell in next(reader)]
        except StopIteration:
            return
        except csv.Error as error:
            expected = "quotes closed, and doubled inside a quoted cell"
            faults.append(InputFault(where=f"{label} row {number}", found=str(error), expected=expected))
            return
        for cell in cells:
            if len(cell) > _LONGEST_CELL:
                faults.append(InputFault(where=f"{label} row {number}", found=quoted(cell), expected="shorter cells"))
        yield number, cells or [""]


def _separator(text: str) -> str:
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith(("#", '"#'))), "")
    return max(",;\t", key=first.count)
