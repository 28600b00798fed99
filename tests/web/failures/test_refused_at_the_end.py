"""What is refused only when the transaction ends, as on a disk that runs full, is told, with its form kept."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from markupsafe import escape
from sqlalchemy import func, select, text

from desk.models import Event, ReelEntry
from desk.models.database import Database
from desk.record_errors import FULL, UNSURE, UNWRITABLE
from desk.web import context
from tests.web import hurtful
from tests.web.conftest import House
from tests.web.failures.delivery import receive, reel_of


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
def refused_at_commit(database: Database, table: str, *, doing: str) -> Iterator[None]:
    """Let the PostgreSQL server do this when a transaction ends that added to TABLE."""
    body = f"$$ BEGIN {doing}; RETURN NULL; END $$"
    when = f"AFTER INSERT ON {table} DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION refuse_late()"
    with database.engine.begin() as connection:
        connection.execute(text(f"CREATE FUNCTION refuse_late() RETURNS trigger LANGUAGE plpgsql AS {body}"))
        connection.execute(text(f"CREATE CONSTRAINT TRIGGER refuse_late {when}"))
    yield
    with database.engine.begin() as connection:
        connection.execute(text("DROP FUNCTION refuse_late CASCADE"))


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
    full = "RAISE EXCEPTION 'made by a test' USING ERRCODE = '53100'"
    hold_that_it_is_told(house, refused_at_commit(postgres, "reel_entry", doing=full), FULL)


def test_what_was_stored_without_an_answer_counts_once(any_database: Database, monkeypatch) -> None:
    house = hurtful.open_house(any_database)
    reel_id, before, dialect = reel_of(house), entries(house), any_database.engine.dialect
    form = {"csrf_token": "of the page", "what": "receive", "metres": "12.5", "note": "came with the runner"}
    commit = dialect.do_commit

    def unanswered(connection) -> None:
        commit(connection)
        raise dialect.loaded_dbapi.OperationalError("disk I/O error")

    client = house.as_role("lead")
    with monkeypatch.context() as lost:
        lost.setattr(dialect, "do_commit", unanswered)
        answer = client.post(f"/store/reel/{reel_id}/entry", data=form)
    assert (answer.status_code, 'name="csrf_token" value="of the page"' in answer.text) == (422, True)
    again = client.post(f"/store/reel/{reel_id}/entry", data=form, follow_redirects=True)
    assert "That was sent twice. It counted once." in again.text
    assert entries(house) == before + 1


@pytest.mark.postgres
def test_a_connection_that_ends_with_the_transaction_is_told_as_unsure(postgres: Database) -> None:
    house = hurtful.open_house(postgres)
    ended = "PERFORM pg_terminate_backend(pg_backend_pid())"
    hold_that_it_is_told(house, refused_at_commit(postgres, "reel_entry", doing=ended), UNSURE)


@pytest.mark.postgres
def test_a_connection_that_ends_after_a_page_was_read_hurts_nobody(postgres: Database) -> None:
    house = hurtful.open_house(postgres)
    with house.app.test_request_context():
        own = context.reading().scalar(text("SELECT pg_backend_pid()"))
        with postgres.engine.connect() as other:
            other.execute(text("SELECT pg_terminate_backend(:own)"), {"own": own})
            other.execute(text("SELECT pg_sleep(0.2)"))
    assert house.get(Event, house.event_id).id == house.event_id
