"""All records carried from one database to another, and compared row by row."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from typing import Any

from sqlalchemy import Column, Connection, Row, Select, Table, func, insert, inspect, select, text, update
from sqlalchemy.exc import DataError

from desk.errors import BadInput, Conflict
from desk.models import Base
from desk.models.database import Database, sqlite_file

BATCH = 500


def move_records(source: Database, target: Database) -> dict[str, int]:
    """Copy every row of SOURCE into the empty TARGET and return how many each table has.

    TARGET gets all of it or nothing. Both are read again afterwards and compared, value by value. Refused when SOURCE
    is not of the newest form, TARGET is not empty, or a row came over changed.
    """
    if source.revision() != source.known_revisions()[0]:
        raise BadInput("The records to be moved are not of the newest form; run `init` on them first.")
    _refuse_rows(target)
    target.upgrade()
    tables = Base.metadata.sorted_tables
    with source.engine.connect() as reading:
        if source.engine.dialect.name == "postgresql":
            reading.execution_options(isolation_level="REPEATABLE READ")
        try:
            with target.writing() as session:
                counts = {table.name: _copy(reading, session.connection(), table) for table in tables}
                for table in tables:
                    _compare(reading, session.connection(), table)
                _go_on_counting(session.connection(), tables)
        except (DataError, BadInput) as error:
            why = getattr(error, "orig", None) or error
            raise BadInput(f"A value cannot be stored there ({why}); nothing was moved.") from error
    return counts


def _refuse_rows(target: Database) -> None:
    file = sqlite_file(target.url)
    if file is not None and not file.exists():
        return
    known = set(inspect(target.engine).get_table_names()) & set(Base.metadata.tables)
    with target.engine.connect() as connection:
        if any(connection.scalar(select(Base.metadata.tables[name].c.id).limit(1)) for name in known):
            place = target.engine.url.render_as_string(hide_password=True)
            raise Conflict(f"There are records at {place} already; move into an empty place.")


def _copy(reading: Connection, writing: Connection, table: Table) -> int:
    """Copy a table; what refers to a row of the same table is filled in when all of them are there."""
    later = [column for column in table.columns if _points_at(column, table)]
    count = 0
    for rows in reading.execute(_whole(table)).partitions():
        values = [row._asdict() for row in rows]
        writing.execute(insert(table), [one | {column.name: None for column in later} for one in values])
        count += len(rows)
    for column in later:
        for row in reading.execute(select(table.c.id, column).where(column.is_not(None))):
            writing.execute(update(table).where(table.c.id == row[0]).values({column: row[1]}))
    return count


def _whole(table: Table) -> Select[Any]:
    return select(table).order_by(table.c.id).execution_options(yield_per=BATCH)


def _points_at(column: Column[Any], table: Table) -> bool:
    return any(key.column.table is table for key in column.foreign_keys)


def _compare(one: Connection, other: Connection, table: Table) -> None:
    for left, right in zip_longest(_rows(one, table), _rows(other, table)):
        if left is None or right is None or tuple(left) != tuple(right):
            number = (left or right)[0]
            raise Conflict(f"Row {number} of {table.name} came over changed; nothing was moved.")


def _rows(connection: Connection, table: Table) -> Iterator[Row[Any]]:
    yield from connection.execute(_whole(table))


def _go_on_counting(connection: Connection, tables: list[Table]) -> None:
    """Move PostgreSQL's sequences past the numbers that the copied rows brought with them."""
    if connection.dialect.name != "postgresql":
        return
    for table in tables:
        highest = connection.scalar(select(func.max(table.c.id)))
        if highest is not None:
            sequence = {"table": table.name, "highest": highest}
            connection.execute(text("SELECT setval(pg_get_serial_sequence(:table, 'id'), :highest)"), sequence)
