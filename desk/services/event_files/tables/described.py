"""The tables described for whoever fills them in: the page of event files, and the empty workbook."""

from __future__ import annotations

from desk.services.event_files.tables.all_tables import TABLES
from desk.services.event_files.tables.spec import Table
from exports.files.template import ColumnSpec, TableSpec, write_template


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
        required = "" if column.required else " (optional)"
        example = f"`{column.example}`" if column.example else ""
        lines.append(f"| `{column.name}`{required} | {column.explanation} | {example} |")
    return "\n".join(lines)


def empty_workbook() -> bytes:
    """Return an .xlsx workbook with a sheet a table, each with a row that explains its columns."""
    tables = [
        TableSpec(
            name=table.name,
            explanation=table.explanation,
            columns=tuple(
                ColumnSpec(name=c.name, explanation=c.explanation, example=c.example, required=c.required)
                for c in table.columns
            ),
        )
        for table in TABLES
    ]
    return write_template(tables, title="An event at the stringing desk")
