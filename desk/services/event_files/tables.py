"""Every table of the event files, in the order in which they are read."""

from __future__ import annotations

from desk.services.event_files.drop_off_tables import CALIBRATIONS, DROPOFFS
from desk.services.event_files.event_table import EVENT
from desk.services.event_files.play_tables import INCIDENTS_TABLE, MATCHES
from desk.services.event_files.set_up_tables import (
    COURTS,
    DAYS,
    MACHINES,
    PLAYERS,
    SERVICE_HOURS,
    SHIFTS,
    STRINGERS,
)
from desk.services.event_files.spec import Table
from desk.services.event_files.store_tables import FRAMES, HOUSE_TIMES, PRICES, REELS, STRINGS

TABLES: tuple[Table, ...] = (
    EVENT,
    DAYS,
    COURTS,
    PLAYERS,
    MACHINES,
    SERVICE_HOURS,
    STRINGERS,
    SHIFTS,
    FRAMES,
    STRINGS,
    REELS,
    PRICES,
    HOUSE_TIMES,
    MATCHES,
    DROPOFFS,
    INCIDENTS_TABLE,
    CALIBRATIONS,
)

BY_NAME = {table.name: table for table in TABLES}
