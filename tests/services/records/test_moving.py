"""Records move from one kind of database to another, whole or not at all."""

from pathlib import Path

import pytest
from sqlalchemy import select, text

from desk.errors import BadInput, Conflict
from desk.models import Secret
from desk.models.database import Database
from desk.services.records.moving import move_records
from tests.services.records.whole_records import PLACE_OF_SECRET, all_rows, fill
from tests.services.small_desk import small_desk

pytestmark = pytest.mark.slow


@pytest.mark.postgres
def test_records_move_there_and_back(database: Database, bare_postgres: Database, tmp_path: Path) -> None:
    fill(database)
    counts = move_records(database, bare_postgres)
    assert all_rows(bare_postgres) == all_rows(database)
    assert counts["player"] == 1
    with bare_postgres.reading() as session:
        assert session.scalars(select(Secret.value)).one() == PLACE_OF_SECRET
    with bare_postgres.writing() as session:
        small_desk(session, slug="next")
    back = Database(f"sqlite:///{tmp_path}/back.sqlite")
    move_records(bare_postgres, back)
    assert all_rows(back) == all_rows(bare_postgres)


def test_a_played_event_moves(riverside, tmp_path: Path) -> None:
    target = Database(f"sqlite:///{tmp_path}/moved.sqlite")
    move_records(riverside.database, target)
    assert all_rows(target) == all_rows(riverside.database)


def test_records_move_into_an_empty_place_only(database: Database, tmp_path: Path) -> None:
    fill(database)
    with pytest.raises(Conflict, match="already"):
        move_records(database, database)


@pytest.mark.postgres
def test_a_value_that_cannot_be_stored_moves_nothing(database: Database, bare_postgres: Database) -> None:
    fill(database)
    with database.writing() as session:
        session.execute(text("UPDATE player SET note = 'a' || char(0) || 'b'"))
    with pytest.raises(BadInput, match="nothing was moved"):
        move_records(database, bare_postgres)
    assert all_rows(bare_postgres)["event"] == []
