"""An event as files: a folder of event.toml and CSV tables, or one workbook with the same as sheets."""

from desk.services.event_files.again import changed_since, store_again
from desk.services.event_files.bulk import BulkSheet, read_bulk
from desk.services.event_files.match_sheet import read_matches
from desk.services.event_files.opening import opened
from desk.services.event_files.reading import EventFiles, read_event
from desk.services.event_files.script import (
    EventScript,
    ScriptedCalibration,
    ScriptedDropOff,
    ScriptedHalf,
    ScriptedIncident,
    ScriptedRacquet,
    script_of,
)
from desk.services.event_files.so_far.storing import store_so_far
from desk.services.event_files.so_far.writing import SO_FAR, write_event
from desk.services.event_files.storing import left_to_play, store_event, taken_in, without_price
from desk.services.event_files.tables.all_tables import TABLES
from desk.services.event_files.tables.described import empty_workbook, tables_markdown
