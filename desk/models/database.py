"""Opening the records: engine, migrations, and the two kinds of session."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.record_errors import plain_error

MIGRATIONS = Path(__file__).parent / "migrations"
PATIENCE = 15.0
POOL = 20
IDLE_WRITE_SECONDS = 10
"""A process that was stopped within a write gives its locks back after so long (PostgreSQL)."""
_WRITES = "desk_writes"


def _on_sqlite_connect(connection: object, _record: object) -> None:
    connection.isolation_level = None  # type: ignore[attr-defined]
    cursor = connection.cursor()  # type: ignore[attr-defined]
    for pragma in ("foreign_keys=ON", "journal_mode=WAL", "synchronous=FULL"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _on_sqlite_begin(connection: Connection) -> None:
    # A write takes the lock at once: upgrading a read later could fail half way through.
    writes = connection.get_execution_options().get(_WRITES)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _on_postgres_begin(connection: Connection) -> None:
    if connection.get_execution_options().get(_WRITES):
        connection.exec_driver_sql(f"SET LOCAL idle_in_transaction_session_timeout = '{IDLE_WRITE_SECONDS}s'")


def sqlite_file(url: str) -> Path | None:
    """Return the file in which the records at URL are; None for a server or for memory."""
    found = make_url(url)
    if found.get_backend_name() != "sqlite" or found.database in (None, "", ":memory:"):
        return None
    return Path(found.database)


def refuse_folder(file: Path) -> None:
    """Refuse a folder where the file of the records should be."""
    if file.is_dir():
        raise BadInput(f"{file} is a folder. Name a file of records in DESK_DATABASE_URL.")


def has_other_log(file: Path) -> bool:
    """Tell whether the `-wal` beside a SQLite file was written for other records.

    The file is whole by itself, and is not with the `-wal`. SQLite cannot tell: it would mix the two.
    """
    log = Path(f"{file}-wal")
    if not log.exists() or not log.stat().st_size:
        return False
    return not _is_whole(file, "mode=ro") and _is_whole(file, "immutable=1")


def _is_whole(file: Path, way: str) -> bool:
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?{way}", uri=True)) as connection:
        try:
            return connection.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
        except sqlite3.OperationalError:
            # What cannot be looked at now, since it is locked or may only be read, says nothing of the records.
            return True
        except sqlite3.DatabaseError:
            return False


def _look_first(url: str) -> Callable[..., None]:
    """Return what refuses, before a connection, a file that is not there or that SQLite would spoil."""
    file = sqlite_file(url)
    is_sound = file is None

    def look(*_: object) -> None:
        nonlocal is_sound
        if file is None:
            return
        refuse_folder(file)
        if not file.exists():
            raise NotFound(f"There are no records at {file}. Run `python -m desk init`, or correct DESK_DATABASE_URL.")
        if not is_sound and has_other_log(file):
            raise Conflict(
                f"{file}-wal lies beside {file} and was written for other records: the two would be mixed. Bring the "
                "records back with `restore FILE --set-aside`, or move the file that ends in -wal elsewhere."
            )
        is_sound = True

    return look


def make_engine(url: str, *, patience: float = PATIENCE) -> Engine:
    """Return an engine for URL whose writes wait PATIENCE seconds for others before they are refused as busy.

    SQLite is put in WAL mode with foreign keys on, and a missing file is not made.
    """
    if make_url(url).get_backend_name() != "sqlite":
        # One that was stopped while it read holds no lock that anybody waits for, but must not stay for ever.
        options = f"-c lock_timeout={int(patience * 1000)} -c idle_in_transaction_session_timeout=60000"
        waits = {"options": options, "connect_timeout": 10}
        engine = create_engine(
            url, hide_parameters=True, pool_pre_ping=True, pool_size=POOL, max_overflow=POOL, connect_args=waits
        )
        event.listen(engine, "handle_error", plain_error)
        event.listen(engine, "begin", _on_postgres_begin)
        return engine
    engine = create_engine(
        url, hide_parameters=True, connect_args={"timeout": patience}, pool_size=POOL, max_overflow=POOL
    )
    event.listen(engine, "handle_error", plain_error)
    event.listen(engine, "do_connect", _look_first(url))
    event.listen(engine, "connect", _on_sqlite_connect)
    event.listen(engine, "begin", _on_sqlite_begin)
    return engine


class Database:
    """The records behind one URL.

    `reading` gives a session to look, `writing` one transaction: it is committed when its block
    ends and rolled back when the block raises.
    """

    def __init__(self, url: str, *, patience: float = PATIENCE) -> None:
        self.url = url
        self.engine = make_engine(url, patience=patience)
        self._writer = self.engine.execution_options(**{_WRITES: True})

    @contextmanager
    def reading(self) -> Iterator[Session]:
        with Session(self.engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            yield session

    def alembic_config(self) -> Config:
        """Return the migration settings of this database."""
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["engine"] = self._writer
        return config

    def upgrade(self) -> None:
        """Bring the tables to the newest form; where they have it, nothing is written or waited for.

        A SQLite file that is not there is made, for its owner alone.
        """
        file = sqlite_file(self.url)
        if file is not None and not file.exists():
            try:
                os.close(os.open(file, os.O_CREAT | os.O_WRONLY, 0o600))
            except OSError as error:
                raise BadInput(f"{file} cannot be made ({error.strerror}). Correct DESK_DATABASE_URL.") from error
        if self.revision() == self.known_revisions()[0]:
            return
        command.upgrade(self.alembic_config(), "head")

    def revision(self) -> str | None:
        """Return the migration that the tables have; None where there are none."""
        with self.engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()

    def known_revisions(self) -> list[str]:
        """Return the migrations that this program knows, the newest first."""
        scripts = ScriptDirectory.from_config(self.alembic_config())
        return [script.revision for script in scripts.walk_revisions()]

    def check(self) -> None:
        """Raise when the tables differ from the models (as `alembic check` does)."""
        command.check(self.alembic_config())

    def dispose(self) -> None:
        self.engine.dispose()

    def __enter__(self) -> Database:
        return self

    def __exit__(self, *_: object) -> None:
        self.dispose()
