"""Counting the SQL statements that a query sends."""

from collections.abc import Callable, Iterator
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


def statements_after(session: Session, grow: Callable[[], object], *reads: Callable[[], object]) -> list[list[int]]:
    """Return how many statements each of READS sends after GROW was called once, and after 29 calls more."""
    counts = []
    for more in (1, 29):
        for _ in range(more):
            grow()
        counts.append([_statements_of(session, read) for read in reads])
    return counts


def _statements_of(session: Session, read: Callable[[], object]) -> int:
    with statements(session) as seen:
        read()
    return len(seen)
