"""What the database itself refuses, by the errors that its driver raises, becomes a sentence that says what to do."""

import sqlite3

import pytest
from sqlalchemy import event, text

from desk.errors import Busy
from desk.models.database import Database, sqlite_file
from desk.record_errors import AWAY, BUSY, DAMAGED, FULL, UNWRITABLE
from tests.databases import refuse_inserts, spoil

OF_CODE = {
    "53100": FULL,  # disk_full
    "53200": BUSY,  # out_of_memory
    "53300": BUSY,  # too_many_connections
    "55P03": BUSY,  # lock_not_available
    "57014": BUSY,  # query_canceled
    "40001": BUSY,  # serialization_failure
    "40P01": BUSY,  # deadlock_detected
    "58030": UNWRITABLE,  # io_error
    "25006": UNWRITABLE,  # read_only_sql_transaction
    "57P01": AWAY,  # admin_shutdown
    "57P02": AWAY,  # crash_shutdown
    "57P03": BUSY,  # cannot_connect_now
    "25P03": AWAY,  # idle_in_transaction_session_timeout
    "XX001": DAMAGED,  # data_corrupted
    "XX002": DAMAGED,  # index_corrupted
}
"""Codes and names as in "Appendix A. PostgreSQL Error Codes" of PostgreSQL's documentation."""


def write(database: Database) -> None:
    with database.writing() as session:
        session.execute(text("INSERT INTO secret (name, value) VALUES ('one', 'two')"))


@pytest.mark.postgres
@pytest.mark.parametrize(("code", "told"), OF_CODE.items())
def test_each_refusal_of_the_server_is_said(postgres: Database, code: str, told: str) -> None:
    refuse_inserts(postgres, "secret", code)
    with pytest.raises(Busy) as refused:
        write(postgres)
    assert str(refused.value) == told


@pytest.mark.postgres
def test_a_lost_connection_is_said_and_the_next_one_works(postgres: Database) -> None:
    with pytest.raises(Busy, match="cannot be reached"), postgres.writing() as session:
        own = session.scalar(text("SELECT pg_backend_pid()"))
        with postgres.engine.connect() as other:
            other.execute(text("SELECT pg_terminate_backend(:own, 5000)"), {"own": own})
        session.execute(text("SELECT 1"))
    write(postgres)


@pytest.mark.postgres
def test_a_write_that_stands_still_gives_its_locks_back(postgres: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("desk.models.database.IDLE_WRITE_SECONDS", 1)
    with pytest.raises(Busy, match="cannot be reached"), postgres.writing() as session:
        session.execute(text("LOCK TABLE secret"))
        with Database(postgres.engine.url.render_as_string(hide_password=False), patience=20.0) as other:
            write(other)
        session.execute(text("SELECT 1"))


def test_a_full_disk_is_said_by_sqlite(database: Database) -> None:
    """SQLite raises the same SQLITE_FULL for a full disk and for a file that may not grow."""

    @event.listens_for(database.engine, "connect")
    def _no_room(connection, _record) -> None:
        connection.execute("PRAGMA max_page_count = 1")

    database.dispose()
    with pytest.raises(Busy) as refused, database.writing() as session:
        session.execute(text("INSERT INTO secret (name, value) VALUES ('one', :value)"), {"value": "x" * 50_000})
    assert str(refused.value) == FULL
    assert isinstance(refused.value.__cause__, sqlite3.OperationalError)
    assert refused.value.__cause__.sqlite_errorname == "SQLITE_FULL"


def test_a_damaged_page_is_said_by_sqlite(database: Database) -> None:
    spoil(database, "secret")
    with pytest.raises(Busy) as refused:
        write(Database(database.url))
    assert str(refused.value) == DAMAGED


def test_a_file_that_is_no_database_is_said(database: Database) -> None:
    database.dispose()
    file = sqlite_file(database.url)
    assert file is not None
    file.write_bytes(b"something else" * 1000)
    with pytest.raises(Busy) as refused:
        write(Database(database.url))
    assert str(refused.value) == DAMAGED


def test_a_file_that_may_not_be_written_is_said(database: Database) -> None:
    @event.listens_for(database.engine, "connect")
    def _for_readers(connection, _record) -> None:
        connection.execute("PRAGMA query_only = ON")

    database.dispose()
    with pytest.raises(Busy) as refused:
        write(database)
    assert str(refused.value) == UNWRITABLE
