"""The tables are described once, and the description is what the reader does."""

from datetime import date

import pytest

from desk.errors import InputFault
from desk.services.event_files import TABLES, tables_markdown
from desk.services.event_files.cells.understanding import understand
from desk.services.event_files.raw import RawRow, RawTable
from desk.services.event_files.tables.spec import Table
from desk.trade.event.event_time import EventClock
from tests.services.event_files.files import SAMPLES

STORED = [table for table in TABLES if table.record and table.name not in ("event", "dropoffs", "calibrations")]
CLOCK = EventClock("Europe/Lisbon", date(2031, 5, 12))


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_examples_of_a_table_are_a_row_that_is_read(table: Table) -> None:
    cells = {column.name: column.example for column in table.columns}
    faults: list[InputFault] = []
    rows = understand(table, RawTable(table.name, [RawRow(2, cells)]), clock=CLOCK, currency="EUR", faults=faults)
    assert faults == []
    assert set(rows[0].values) == {column.name for column in table.columns}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_table_refers_to_tables_that_there_are(table: Table) -> None:
    keys = {other.name: other.key for other in TABLES}
    for column in table.columns:
        assert not column.refers or len(keys[column.refers]) == 1


@pytest.mark.parametrize(
    "table",
    [t for t in TABLES if t.record and t.name not in ("dropoffs", "calibrations")],
    ids=lambda table: table.name,
)
def test_what_a_table_stores_is_a_column_of_its_record(table: Table) -> None:
    assert {one.attribute for one in table.columns if one.stored is not None} <= set(table.record.__table__.c.keys())


def test_the_description_names_every_column_of_every_table() -> None:
    lines = tables_markdown().splitlines()
    described = [line.split("`")[1] for line in lines if line.startswith(("| `", "**`"))]
    assert described == [name for table in TABLES for name in (table.name, *(column.name for column in table.columns))]


def test_every_table_but_house_times_is_used_by_a_sample_event() -> None:
    used = {path.stem for path in SAMPLES.glob("*/*.csv")} | {"event"}
    assert {table.name for table in TABLES} - used == {"house_times"}
