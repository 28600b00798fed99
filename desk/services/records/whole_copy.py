"""Whether a copy of the records is whole, and whether this program can use it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from desk.errors import BadInput
from desk.models import Base
from desk.models.database import Database
from desk.services.records.postgres import run_program

SQLITE_HEAD = b"SQLite format 3\x00"
POSTGRES_HEAD = b"PGDMP"


def kind_of(file: Path) -> str:
    """Return which database wrote FILE: sqlite or postgresql."""
    if not file.is_file():
        raise BadInput(f"There is no file {file}.")
    with file.open("rb") as opened:
        head = opened.read(len(SQLITE_HEAD))
    if head == SQLITE_HEAD:
        return "sqlite"
    if head.startswith(POSTGRES_HEAD):
        return "postgresql"
    raise BadInput(f"{file} is no copy of the records; choose a file that `backup` wrote.")


def check_copy(file: Path, database: Database) -> int:
    """Read all of FILE and return how many rows it holds (of PostgreSQL, how many tables).

    Refused when it is damaged, holds no records, or was written by a newer program.
    """
    if kind_of(file) == "postgresql":
        return _check_dump(file)
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            return _check_sqlite(connection, file, database.known_revisions())
    except sqlite3.DatabaseError as error:
        raise BadInput(f"{file} is damaged ({error}); choose another copy.") from error


def _check_sqlite(connection: sqlite3.Connection, file: Path, known: list[str]) -> int:
    problems = [row[0] for row in connection.execute("PRAGMA integrity_check(3)") if row[0] != "ok"]
    problems += [f"a row of {row[0]} refers to nothing" for row in connection.execute("PRAGMA foreign_key_check")]
    if problems:
        raise BadInput(f"{file} is damaged ({problems[0]}); choose another copy.")
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not {"alembic_version", "event"} <= tables:
        raise BadInput(f"{file} holds no records of a desk.")
    revision = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    if revision is None or revision[0] not in known:
        raise BadInput(f"{file} was written by a newer version of this program; install that version first.")
    ours = tables & set(Base.metadata.tables)
    return sum(connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in ours)


def _check_dump(file: Path) -> int:
    run_program("pg_restore", None, f"--file={os.devnull}", file)
    listed = run_program("pg_restore", None, "--list", file)
    found = sum(f" TABLE public {name} " in listed for name in Base.metadata.tables)
    if " TABLE public event " not in listed:
        raise BadInput(f"{file} holds no records of a desk.")
    return found
