"""The databases that the tests run on: SQLite always, PostgreSQL where a server answers.

Imports of the application stand inside the fixtures, so that a test of pure arithmetic loads nothing else.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from desk.models import Event
    from desk.models.database import Database
    from tests.played import Played
    from tests.services.small_desk import SmallDesk

POSTGRES_URL = os.environ.get("DESK_TEST_POSTGRES_URL", "postgresql+psycopg://postgres@127.0.0.1:5433/postgres")


def pytest_configure() -> None:
    """Look for garbage less often: there is little, among very much that every test keeps.

    What one process compiled, the others that tests start read, also where a shell keeps Python from writing it.
    """
    gc.set_threshold(100_000, 50, 50)
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Share the whole suite among the cores and one more, since tests wait for browsers, servers and other processes.

    Named files and folders run in this process.
    """
    return 1 + (os.cpu_count() or 1) if config.args == config.getini("testpaths") else 0


SLOW_FIXTURES = {"browser", "whole_browser", "axe", "postgres_server", "riverside", "impossible", "tight_week", "club"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark as slow what drives a browser, asks a server or looks at a whole played event."""
    for item in items:
        if SLOW_FIXTURES.intersection(getattr(item, "fixturenames", ())) or item.get_closest_marker("postgres"):
            item.add_marker("slow")
    _slow_first(items, int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1")))


def _slow_first(items: list[pytest.Item], workers: int) -> None:
    """Let each worker begin with its share of the slow tests: the quick ones are what is best shared at the end."""
    slow = [item for item in items if item.get_closest_marker("slow")]
    quick = [item for item in items if not item.get_closest_marker("slow")]
    if workers > 1:
        shares = [(part, share * len(part)) for share in range(workers) for part in (slow, quick)]
        items[:] = [item for part, begin in shares for item in part[begin // workers : (begin + len(part)) // workers]]


def missing(config: pytest.Config, reason: str) -> None:
    """Skip the test with REASON, or fail it where DESK_ALL_MUST_RUN says that everything must run."""
    if os.environ.get("DESK_ALL_MUST_RUN"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated, empty SQLite file that each test copies."""
    from tests.databases import migrated

    path = tmp_path_factory.mktemp("template") / "empty.sqlite"
    migrated(f"sqlite:///{path}")
    return path


@pytest.fixture
def database(sqlite_template: Path, tmp_path: Path) -> Iterator[Database]:
    """Empty records in a SQLite file."""
    from tests.databases import copy_of

    with copy_of(sqlite_template, tmp_path) as found:
        yield found


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    """One transaction in empty records."""
    with database.writing() as found:
        yield found


@pytest.fixture
def desk(session: Session) -> SmallDesk:
    """A small desk in records of its own."""
    from tests.services.small_desk import small_desk

    return small_desk(session)


@pytest.fixture
def event(session: Session) -> Event:
    """An event without anything in it."""
    from tests.make import make_event

    return make_event(session)


@pytest.fixture(scope="session")
def postgres_server(request: pytest.FixtureRequest) -> str:
    """The URL of a PostgreSQL server on which databases may be made."""
    from tests.databases import answers

    if not answers(POSTGRES_URL):
        missing(request.config, "no PostgreSQL server answers at DESK_TEST_POSTGRES_URL")
    return POSTGRES_URL


@pytest.fixture(scope="session")
def postgres_template(postgres_server: str) -> Iterator[str]:
    """The name of a migrated, empty PostgreSQL database that each test copies."""
    from tests.databases import migrated, postgres_database

    with postgres_database(postgres_server) as url:
        yield migrated(url).rsplit("/", 1)[-1]


@pytest.fixture(scope="session")
def postgres_records(postgres_server: str, postgres_template: str) -> Iterator[str]:
    """The URL of records that the tests of this process use one after another; none may change their tables."""
    from desk.models.database import Database
    from tests.databases import postgres_database

    with postgres_database(postgres_server, postgres_template) as url:
        yield url
        with Database(url) as left:
            left.check()


@pytest.fixture
def postgres(postgres_records: str) -> Iterator[Database]:
    """Empty records in a PostgreSQL database."""
    from desk.models.database import Database
    from tests.databases import empty

    with Database(postgres_records) as found:
        yield found
        empty(found)


@pytest.fixture
def bare_postgres(postgres_server: str) -> Iterator[Database]:
    """A PostgreSQL database without a table."""
    from desk.models.database import Database
    from tests.databases import postgres_database

    with postgres_database(postgres_server) as url:
        found = Database(url)
        yield found
        found.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def any_database(request: pytest.FixtureRequest) -> Database:
    """The same test on both databases."""
    return request.getfixturevalue("database" if request.param == "sqlite" else "postgres")


@pytest.fixture
def any_session(any_database: Database) -> Iterator[Session]:
    """One transaction in empty records of either database."""
    with any_database.writing() as found:
        yield found


@pytest.fixture(scope="session")
def played_cache(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where played sample events are kept: pytest's cache, else a folder of this run."""
    cache = getattr(request.config, "cache", None)
    return cache.mkdir("played") if cache else tmp_path_factory.mktemp("played")


def played_sample(name: str):
    """Return a fixture: the sample event of this name, played; look at it, and write nothing."""

    @pytest.fixture(scope="session")
    def played(played_cache: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
        from tests.played import SAMPLES, played_once

        yield from played_once(played_cache, tmp_path_factory.mktemp("played"), SAMPLES / name)

    return played


riverside = played_sample("riverside-one-day")
impossible = played_sample("impossible-afternoon")
club = played_sample("mill-lane-club")


@pytest.fixture(scope="session")
def tight_week(played_cache: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    """Five days of the sample week with three stringers for four, played; look at it, and write nothing."""
    from tests import played

    folder = tmp_path_factory.mktemp("week")
    yield from played.played_once(played_cache, folder, played.tight_week(folder), played.FOR_A_WEEK, days=5)
