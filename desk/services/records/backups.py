"""A copy of the records, taken while the desk works on: complete and checked, or not made at all."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from desk.errors import BadInput, Conflict
from desk.models.database import Database
from desk.services.records.postgres import run_program
from desk.services.records.whole_copy import check_copy


def back_up(database: Database, file: Path) -> int:
    """Write all records to FILE and return its size in bytes; an existing file is not touched.

    SQLite gives a database file, PostgreSQL what `pg_dump` writes in its custom format; nobody but its owner may read
    it. The key that signs sessions stays out: a copy in wrong hands opens no session. NotFound, Conflict or BadInput:
    there are no records, FILE is there, or the copy could not be made whole.
    """
    if file.exists():
        raise Conflict(f"{file} is there already; choose a new name, so that no older copy is lost.")
    if not file.parent.is_dir():
        raise BadInput(f"There is no folder {file.parent}; make it first.")
    if database.revision() is None:
        raise BadInput(f"{_plain(database)} holds no records yet, so there is nothing to copy. Is the URL right?")
    part = file.with_name(f".{file.name}.part")
    try:
        _write(database, part)
        check_copy(part, database)
        _keep_on_disk(part)
        part.rename(file)
    except (OSError, sqlite3.Error) as error:
        raise Conflict(f"The copy could not be written ({error}); nothing was kept of it.") from error
    finally:
        part.unlink(missing_ok=True)
    return file.stat().st_size


def _plain(database: Database) -> str:
    return database.engine.url.render_as_string(hide_password=True)


def _write(database: Database, part: Path) -> None:
    part.unlink(missing_ok=True)
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    if database.engine.dialect.name == "sqlite":
        _copy_sqlite(database, part)
    else:
        run_program(
            "pg_dump", database.engine.url, "--format=custom", "--exclude-table-data=public.secret", f"--file={part}"
        )


def _copy_sqlite(database: Database, part: Path) -> None:
    with database.engine.connect() as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT")
        connection.connection.driver_connection.execute("VACUUM INTO ?", (str(part),))
    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        # Written over with zeros, not only taken out of the table.
        copy.execute("PRAGMA secure_delete = ON")
        copy.execute("DELETE FROM secret")


def _keep_on_disk(part: Path) -> None:
    with part.open("rb+") as written:
        os.fsync(written.fileno())
