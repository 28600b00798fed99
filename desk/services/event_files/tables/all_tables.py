"""Every table of the event files, in the order in which they are read."""

from __future__ import annotations

from desk.services.event_files.tables.contact_tables import CONTACT_PLAYERS, CONTACTS, PAY_RULES
from desk.services.event_files.tables.drop_off_tables import CALIBRATIONS, DROPOFFS
from desk.services.event_files.tables.event_table import EVENT
from desk.services.event_files.tables.play_tables import INCIDENTS_TABLE, MATCHES
from desk.services.event_files.tables.set_up_tables import (
    COURTS,
    DAYS,
    MACHINE_CHECKS,
    MACHINES,
    PLAYERS,
    SERVICE_HOURS,
    SHIFTS,
    STRINGERS,
)
from desk.services.event_files.tables.spec import Table
from desk.services.event_files.tables.store_tables import FRAMES, HOUSE_TIMES, PRICES, REELS, STRINGS

TABLES: tuple[Table, ...] = (
    EVENT,
    DAYS,
    COURTS,
    PLAYERS,
    MACHINES,
    SERVICE_HOURS,
    MACHINE_CHECKS,
    STRINGERS,
    SHIFTS,
    FRAMES,
    STRINGS,
    REELS,
    PRICES,
    HOUSE_TIMES,
    CONTACTS,
    CONTACT_PLAYERS,
    PAY_RULES,
    MATCHES,
    DROPOFFS,
    INCIDENTS_TABLE,
    CALIBRATIONS,
)

BY_NAME = {table.name: table for table in TABLES}
