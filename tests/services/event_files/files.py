"""Small event files to spoil, and the same event as a workbook."""

import csv
import io
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest
from openpyxl import Workbook

from desk.errors import BadInput
from desk.services.event_files import EventFiles, read_event

SAMPLES = Path(__file__).parents[3] / "sample_events"

EVENT = """slug = "testfield"
name = "Testfield Open"
time_zone = "Europe/Vienna"
currency = "EUR"
"""
FILES: Mapping[str, str] = {
    "event.toml": EVENT,
    "days.csv": "date,opens,closes\n2031-05-12,08:00,20:00\n2031-05-13,08:00,24:30\n",
    "courts.csv": "name\nCourt 1\nCourt 2\n",
    "players.csv": "code,name\nP1,Ilka Torvane\nP2,Odile Mereldi\nP3,Runa Kostavek\nP4,Petra Ulbrenn\n",
    "machines.csv": "code,name,kind\nM1,Bench 1,constant_pull\n",
    "stringers.csv": "code,name,home_machine\nS1,Bo Karrel,M1\n",
    "shifts.csv": "stringer,day,from,to\nS1,2031-05-12,08:00,12:00\nS1,2031-05-12,13:00,18:00\n",
    "frames.csv": "code,name,mains,crosses\nF1,Ostrel Larch 98,16,19\nF2,Vandry Heron 100,16,19\n",
    "strings.csv": "code,name,material\nX1,Corvel Talus,polyester\nX2,Merrow Sinew,natural_gut\n",
    "reels.csv": "code,string,metres\nR1,X1,200\n",
    "matches.csv": (
        "code,day,court,position,format,start_kind,start,side1,side2\n"
        "A,2031-05-12,Court 1,1,best_of_3_men,at,11:00,P1,P2\n"
        "B,2031-05-13,Court 1,1,best_of_3_men,at,11:00,winner of A,P3\n"
    ),
    "dropoffs.csv": (
        "day,time,player,racquet,frame,mains_string,mains_tension\n"
        "2031-05-12,08:30,P1,1,F1,X1,52.5 lb\n"
        "2031-05-12,08:30,P1,2,F1,X1,23 kg\n"
    ),
}


def changed(name: str, old: str, new: str) -> str:
    """Return a file of the small event with OLD, which it must hold, replaced."""
    assert old in FILES[name]
    return FILES[name].replace(old, new)


def write_event(folder: Path, **over: str | bytes | None) -> Path:
    """Write the small event, with the files in OVER (by stem; None: left out) instead of its own."""
    files: dict[str, str | bytes | None] = dict(FILES)
    for stem, content in over.items():
        files["event.toml" if stem == "event" else f"{stem}.csv"] = content
    for name, text in files.items():
        if text is not None:
            (folder / name).write_bytes(text.encode() if isinstance(text, str) else text)
    return folder


def faults_of(path: Path) -> list[str]:
    """Return the faults of an event that cannot be read, as they are shown."""
    with pytest.raises(BadInput) as caught:
        read_event(path)
    return [str(fault) for fault in caught.value.faults]


def raw_rows(files: EventFiles) -> dict[str, list[tuple[int, dict[str, object]]]]:
    return {name: [(row.number, row.values) for row in rows] for name, rows in files.tables.items()}


def workbook_of(folder: Path) -> Workbook:
    """Return the event in FOLDER as a workbook with the same rows."""
    book = Workbook()
    settings = book.active
    assert settings is not None
    settings.title = "event"
    settings.append(["setting", "value"])
    for pair in tomllib.loads((folder / "event.toml").read_text("utf-8")).items():
        settings.append(pair)
    for path in sorted(folder.glob("*.csv")):
        sheet = book.create_sheet(path.stem)
        for row in csv.reader(io.StringIO(path.read_text("utf-8"))):
            sheet.append(row)
    return book
