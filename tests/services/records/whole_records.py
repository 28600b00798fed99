"""Records to copy and move, everything that stands in them, and an empty place for them."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from desk.models import Base, Secret
from desk.models.database import Database
from tests.services.small_desk import small_desk

NOW = datetime(2031, 5, 12, 20, 15, tzinfo=UTC)
PLACE_OF_SECRET = "a-key-that-signs-sessions"


def fill(database: Database) -> None:
    with database.writing() as session:
        small_desk(session)
        session.add(Secret(name="session", value=PLACE_OF_SECRET))


def all_rows(database: Database) -> dict[str, list[tuple]]:
    with database.engine.connect() as connection:
        tables = [table for table in Base.metadata.sorted_tables if table.name != "secret"]
        return {t.name: [tuple(row) for row in connection.execute(select(t).order_by(t.c.id))] for t in tables}


def empty_like(database: Database, request: pytest.FixtureRequest, folder: Path) -> Database:
    """Return an empty place of the same kind."""
    if database.engine.dialect.name == "sqlite":
        return Database(f"sqlite:///{folder}/back.sqlite")
    return request.getfixturevalue("bare_postgres")
