"""What is refused only when the transaction ends, as on a disk that runs full, is told, with its form kept."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from markupsafe import escape
from sqlalchemy import func, select, text

from desk.models import ReelEntry
from desk.models.database import Database
from desk.record_errors import FULL, UNWRITABLE
from tests.web import hurtful
from tests.web.conftest import House
from tests.web.delivery import receive, reel_of


@contextmanager
def no_file_grows(database: Database) -> Iterator[None]:
    """Let the system refuse to write more than a page into the log of a SQLite file."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with database.engine.connect() as connection:
        connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)"))
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def refused_at_commit(database: Database, table: str, code: str) -> Iterator[None]:
    """Let the PostgreSQL server refuse, when a transaction ends, what was added to TABLE in it."""
    body = f"$$ BEGIN RAISE EXCEPTION 'made by a test' USING ERRCODE = '{code}'; END $$"
    when = f"AFTER INSERT ON {table} DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION refuse_late()"
    with database.engine.begin() as connection:
        connection.execute(text(f"CREATE FUNCTION refuse_late() RETURNS trigger LANGUAGE plpgsql AS {body}"))
        connection.execute(text(f"CREATE CONSTRAINT TRIGGER refuse_late {when}"))
    yield
    with database.engine.begin() as connection:
        connection.execute(text(f"DROP TRIGGER refuse_late ON {table}"))


def entries(house: House) -> int:
    with house.database.reading() as session:
        return session.scalar(select(func.count(ReelEntry.id)))


def hold_that_it_is_told(house: House, refused, told: str) -> None:
    reel_id, before = reel_of(house), entries(house)
    with refused:
        answer = receive(house, reel_id)
    assert entries(house) == before
    assert (answer.status_code, escape(told) in answer.text) == (422, True)
    assert 'value="12.5"' in answer.text and 'value="came with the runner"' in answer.text
    assert receive(house, reel_id).status_code == 303
    assert entries(house) == before + 1


def test_a_disk_that_fills_up_at_the_end_is_told(database: Database) -> None:
    house = hurtful.open_house(database)
    hold_that_it_is_told(house, no_file_grows(database), UNWRITABLE)


@pytest.mark.postgres
def test_what_the_server_refuses_at_the_end_is_told(postgres: Database) -> None:
    house = hurtful.open_house(postgres)
    hold_that_it_is_told(house, refused_at_commit(postgres, "reel_entry", "53100"), FULL)
