"""The tables described for whoever fills them in: the page of event files, and the empty workbook."""

from __future__ import annotations

from datetime import date

from desk.services.event_files.raw import value_text
from desk.services.event_files.tables.all_tables import TABLES
from desk.services.event_files.tables.spec import Around, Column, Table
from desk.trade.event.event_time import EventClock
from exports.files.template import ColumnSpec, TableSpec, write_template

_NOWHERE = Around(EventClock("UTC", date(2000, 1, 1)), "EUR", {})


def tables_markdown() -> str:
    """Return every table with its columns as Markdown; the page of event files holds exactly this text."""
    return "\n\n".join(_section(table) for table in TABLES) + "\n"


def _section(table: Table) -> str:
    needed = "" if table.required else " May be left out."
    lines = [
        f"**`{table.name}`**: {table.explanation}{needed}",
        "",
        "| column | meaning | example |",
        "| --- | --- | --- |",
    ]
    for column in table.columns:
        empty = f"; empty: {_empty(column)}" if _empty(column) else ""
        required = "" if column.required else f" (optional{empty})"
        example = f"`{column.example}`" if column.example else ""
        lines.append(f"| `{column.name}`{required} | {column.explanation} | {example} |")
    return "\n".join(lines)


def _empty(column: Column) -> str:
    """Return what an empty cell stands for, as a cell would say it."""
    default = getattr(column.default, "kind", column.default)
    if column.required or default in (None, "", ()):
        return ""
    return column.write(default, _NOWHERE) if column.write else value_text(default)


def empty_workbook() -> bytes:
    """Return an .xlsx workbook with a sheet a table, each with a row that explains its columns."""
    tables = [
        TableSpec(
            name=table.name,
            explanation=table.explanation,
            columns=tuple(
                ColumnSpec(
                    name=c.name, explanation=c.explanation, example=c.example, required=c.required, empty=_empty(c)
                )
                for c in table.columns
            ),
        )
        for table in TABLES
    ]
    return write_template(tables, title="An event at the stringing desk")
