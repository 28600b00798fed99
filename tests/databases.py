"""Databases of the tests: SQLite files copied from a template, and PostgreSQL databases of a server."""

import shutil
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.util import LRUCache

from desk.models import Base
from desk.models.database import Database, sqlite_file

_SHARED: dict[str, tuple] = {}


def migrated(url: str) -> str:
    """Make the tables in the database at URL."""
    database = Database(url)
    database.upgrade()
    database.dispose()
    return url


@contextmanager
def copy_of(template: Path, folder: Path) -> Iterator[Database]:
    """Give a copy of a SQLite file that nobody has open, in FOLDER."""
    database = Database(f"sqlite:///{shutil.copyfile(template, folder / 'desk.sqlite')}")
    _share_compiled(database)
    yield database
    database.dispose()


def _share_compiled(database: Database) -> None:
    """Let the SQLite databases of this process share the statements that one of them compiled.

    An engine keeps them under its own dialect; without this, two fifths of the time of these tests is compiling.
    """
    engines = (database.engine, database._writer)
    shared = _SHARED.setdefault("sqlite", (database.engine.dialect, LRUCache(5000)))
    for engine in engines:
        engine.dialect, engine._compiled_cache = shared


def answers(server: str) -> bool:
    """Tell whether a PostgreSQL server answers at this URL."""
    engine = create_engine(server, connect_args={"connect_timeout": 2})
    try:
        engine.connect().close()
    except OperationalError:
        return False
    finally:
        engine.dispose()
    return True


@contextmanager
def postgres_database(server: str, template: str = "template1") -> Iterator[str]:
    """Give the URL of a new PostgreSQL database that is a copy of TEMPLATE; it is dropped afterwards."""
    name = f"desk_{uuid.uuid4().hex[:12]}"
    engine = create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
    yield make_url(server).set(database=name).render_as_string(hide_password=False)
    with engine.connect() as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
    engine.dispose()


def empty(database: Database) -> None:
    """Empty a PostgreSQL database as if it had just been made, in a twentieth of the time that making one takes."""
    tables = Base.metadata.sorted_tables
    ids = (f"setval(pg_get_serial_sequence('\"{table.name}\"', 'id'), 1, false)" for table in tables)
    others = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
    statements = (
        f"SELECT pg_terminate_backend(pid) {others}",
        "DROP FUNCTION IF EXISTS refuse() CASCADE",
        *(f'DELETE FROM "{table.name}"' for table in reversed(tables)),
        f"SELECT {', '.join(ids)}",
    )
    database.dispose()
    with database.engine.begin() as connection:
        connection.exec_driver_sql("; ".join(statements))
    database.dispose()


def refuse_inserts(database: Database, table: str, code: str) -> None:
    """Let the PostgreSQL server refuse every new row of TABLE with this SQLSTATE."""
    body = f"$$ BEGIN RAISE EXCEPTION 'made by a test' USING ERRCODE = '{code}'; END $$"
    with database.engine.begin() as connection:
        connection.execute(text(f"CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS {body}"))
        connection.execute(text(f"CREATE TRIGGER refuse BEFORE INSERT ON {table} EXECUTE FUNCTION refuse()"))


def spoil(database: Database, table: str) -> None:
    """Write nonsense over the first page of TABLE in a SQLite file."""
    database.dispose()
    file = sqlite_file(database.url)
    assert file is not None
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        found = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    with file.open("rb+") as opened:
        opened.seek((found[0] - 1) * 4096)
        opened.write(b"\xff" * 4096)
