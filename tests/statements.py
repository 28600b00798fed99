"""Counting the SQL statements that a query sends."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import event
from sqlalchemy.orm import Session


@contextmanager
def statements(session: Session) -> Iterator[list[str]]:
    """Collect the statements that the session sends inside the block; pending rows are written before."""
    session.flush()
    seen: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        seen.append(statement)

    connection = session.connection()
    event.listen(connection, "before_cursor_execute", note)
    try:
        yield seen
    finally:
        event.remove(connection, "before_cursor_execute", note)
