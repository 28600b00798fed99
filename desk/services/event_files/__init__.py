"""An event as files: a folder of event.toml and CSV tables, or one workbook with the same as sheets."""

from .bulk import read_bulk
from .empty_workbook import empty_workbook
from .markdown import tables_markdown
from .match_sheet import read_matches
from .reading import EventFiles, read_event
from .script import (
    EventScript,
    ScriptedCalibration,
    ScriptedDropOff,
    ScriptedIncident,
    ScriptedRacquet,
    script_of,
)
from .spec import Column, Table
from .storing import store_event
from .tables import TABLES

__all__ = [
    "TABLES",
    "Column",
    "EventFiles",
    "EventScript",
    "ScriptedCalibration",
    "ScriptedDropOff",
    "ScriptedIncident",
    "ScriptedRacquet",
    "Table",
    "empty_workbook",
    "read_bulk",
    "read_event",
    "read_matches",
    "script_of",
    "store_event",
    "tables_markdown",
]
