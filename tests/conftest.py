"""The databases that the tests run on: SQLite always, PostgreSQL where a server answers."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, make_url, text
from sqlalchemy.exc import OperationalError

from desk.models.database import Database
from tests.played import Played, play

POSTGRES_URL = os.environ.get("DESK_TEST_POSTGRES_URL", "postgresql+psycopg://postgres@127.0.0.1:5433/postgres")


def missing(config: pytest.Config, reason: str) -> None:
    """Skip the test with REASON, or fail it where DESK_ALL_MUST_RUN says that everything must run."""
    if os.environ.get("DESK_ALL_MUST_RUN"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated, empty SQLite file that each test copies."""
    path = tmp_path_factory.mktemp("template") / "empty.sqlite"
    database = Database(f"sqlite:///{path}")
    database.upgrade()
    database.dispose()
    return path


def _sqlite(template: Path, folder: Path) -> Database:
    source = create_engine(f"sqlite:///{template}")
    target = folder / "desk.sqlite"
    with source.connect() as connection:
        connection.execute(text("VACUUM INTO :path"), {"path": str(target)})
    source.dispose()
    return Database(f"sqlite:///{target}")


@pytest.fixture
def database(sqlite_template: Path, tmp_path: Path) -> Iterator[Database]:
    """Empty records in a SQLite file."""
    found = _sqlite(sqlite_template, tmp_path)
    yield found
    found.dispose()


@pytest.fixture(scope="session")
def postgres_server(request: pytest.FixtureRequest) -> str:
    """The URL of a PostgreSQL server on which databases may be made."""
    engine = create_engine(POSTGRES_URL, connect_args={"connect_timeout": 2})
    try:
        engine.connect().close()
    except OperationalError:
        missing(request.config, "no PostgreSQL server answers at DESK_TEST_POSTGRES_URL")
    engine.dispose()
    return POSTGRES_URL


@contextmanager
def _admin(server: str) -> Iterator[Connection]:
    engine = create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        yield connection
    engine.dispose()


@pytest.fixture(scope="session")
def postgres_template(postgres_server: str) -> Iterator[str]:
    """A migrated, empty PostgreSQL database that each test copies."""
    name = f"desk_{uuid.uuid4().hex[:12]}"
    with _admin(postgres_server) as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    database = Database(_named(postgres_server, name))
    database.upgrade()
    database.dispose()
    yield name
    with _admin(postgres_server) as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))


def _named(server: str, name: str) -> str:
    return make_url(server).set(database=name).render_as_string(hide_password=False)


@pytest.fixture
def postgres(postgres_server: str, postgres_template: str) -> Iterator[Database]:
    """Empty records in a PostgreSQL database of their own, dropped afterwards."""
    name = f"desk_{uuid.uuid4().hex[:12]}"
    with _admin(postgres_server) as connection:
        connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {postgres_template}"))
    found = Database(_named(postgres_server, name))
    yield found
    found.dispose()
    with _admin(postgres_server) as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))


@pytest.fixture
def bare_postgres(postgres_server: str) -> Iterator[Database]:
    """A PostgreSQL database without a table, dropped afterwards."""
    name = f"desk_{uuid.uuid4().hex[:12]}"
    with _admin(postgres_server) as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    found = Database(_named(postgres_server, name))
    yield found
    found.dispose()
    with _admin(postgres_server) as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))


@pytest.fixture(scope="session")
def riverside(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    """The one-day sample event, played; look at it, and write nothing."""
    database = _sqlite(sqlite_template, tmp_path_factory.mktemp("riverside"))
    yield play(database, "riverside-one-day")
    database.dispose()


@pytest.fixture(scope="session")
def impossible(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    """The sample event that cannot be done, played; look at it, and write nothing."""
    database = _sqlite(sqlite_template, tmp_path_factory.mktemp("impossible"))
    yield play(database, "impossible-afternoon")
    database.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def any_database(request: pytest.FixtureRequest) -> Database:
    """The same test on both databases."""
    return request.getfixturevalue("database" if request.param == "sqlite" else "postgres")
