"""Counting what a request asks of the records."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import event

from desk.models.database import Database


@contextmanager
def selects(database: Database) -> Iterator[list[str]]:
    """Collect every SELECT that runs on DATABASE within the block."""
    found: list[str] = []

    def note(_connection, _cursor, statement: str, *_rest: object) -> None:
        if statement.lstrip().upper().startswith("SELECT"):
            found.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    yield found
    event.remove(database.engine, "before_cursor_execute", note)
