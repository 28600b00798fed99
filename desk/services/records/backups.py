"""A copy of the records, taken while the desk goes on."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from desk.errors import BadInput, Conflict
from desk.models.database import Database


def back_up(database: Database, file: Path) -> int:
    """Write all records to FILE and return its size in bytes; an existing file is not touched.

    SQLite gives a database file, PostgreSQL what `pg_dump` writes in its custom format.
    """
    if file.exists():
        raise Conflict(f"{file} is there already; choose a new name, so that no older copy is lost.")
    if not file.parent.is_dir():
        raise BadInput(f"There is no folder {file.parent}; make it first.")
    if database.engine.dialect.name == "sqlite":
        with database.engine.connect() as connection:
            connection.execution_options(isolation_level="AUTOCOMMIT")
            connection.connection.driver_connection.execute("VACUUM INTO ?", (str(file),))
    else:
        _dump_postgres(database, file)
    return file.stat().st_size


def _dump_postgres(database: Database, file: Path) -> None:
    program = shutil.which("pg_dump")
    if program is None:
        raise Conflict("pg_dump is not installed here; install PostgreSQL's client programs, or run it on the server.")
    url = database.engine.url.set(drivername="postgresql").render_as_string(hide_password=False)
    done = subprocess.run(
        [program, "--format=custom", f"--file={file}", url], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        file.unlink(missing_ok=True)
        raise Conflict(
            f"pg_dump failed: {done.stderr.strip().splitlines()[-1] if done.stderr.strip() else 'no reason'}"
        )
