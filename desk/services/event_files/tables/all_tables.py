"""Every table of the event files, in the order in which they are read."""

from __future__ import annotations

from desk.services.event_files.tables import contact_tables, drop_off_tables, play_tables, set_up_tables, store_tables
from desk.services.event_files.tables.event_table import EVENT
from desk.services.event_files.tables.spec import Table

TABLES: tuple[Table, ...] = (
    EVENT,
    *set_up_tables.SET_UP_TABLES,
    *store_tables.STORE_TABLES,
    *contact_tables.CONTACT_TABLES,
    play_tables.MATCHES,
    drop_off_tables.DROPOFFS,
    play_tables.INCIDENTS_TABLE,
    drop_off_tables.CALIBRATIONS,
)

BY_NAME = {table.name: table for table in TABLES}
