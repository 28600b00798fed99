"""The tables of the event files as text for their page."""

from __future__ import annotations

from desk.services.event_files.tables.all_tables import TABLES
from desk.services.event_files.tables.spec import Column, Table


def tables_markdown() -> str:
    """Return every table with its columns as Markdown; the page of event files holds exactly this text."""
    return "\n\n".join(_section(table) for table in TABLES) + "\n"


def _section(table: Table) -> str:
    needed = "" if table.required else " May be left out."
    head = f"**`{table.name}`**: {table.explanation}{needed}"
    rows = [_line(column) for column in table.columns]
    return "\n".join((head, "", "| column | meaning | example |", "| --- | --- | --- |", *rows))


def _line(column: Column) -> str:
    required = "" if column.required else " (optional)"
    example = f"`{column.example}`" if column.example else ""
    return f"| `{column.name}`{required} | {column.explanation} | {example} |"
