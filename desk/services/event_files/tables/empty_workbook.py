"""The event workbook to be filled in: the tables as the reader knows them, without a row."""

from __future__ import annotations

from desk.services.event_files.tables.all_tables import TABLES
from desk.services.event_files.tables.spec import Column, Table
from exports.files.template import ColumnSpec, TableSpec, write_template


def empty_workbook() -> bytes:
    """Return an .xlsx workbook with a sheet a table, each with a row that explains its columns."""
    return write_template([_table(table) for table in TABLES], title="An event at the stringing desk")


def _table(table: Table) -> TableSpec:
    columns = tuple(_column(column) for column in table.columns)
    return TableSpec(name=table.name, explanation=table.explanation, columns=columns)


def _column(column: Column) -> ColumnSpec:
    return ColumnSpec(
        name=column.name, explanation=column.explanation, example=column.example, required=column.required
    )
