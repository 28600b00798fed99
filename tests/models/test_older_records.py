"""Records of every earlier version come up to the newest form with every row they had."""

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import Column, MetaData, Table, func, insert, select
from sqlalchemy.types import JSON, Boolean, Date, DateTime, Float, Integer

from desk.models.database import Database

SAID = {"time_zone": "Europe/Vienna", "currency": "EUR", "status": "open", "state": "waiting", "mains_tension": "52.5"}
SAID |= {"crosses_tension": "50.5", "tension_unit": "lb", "format": "best_of_3_men", "start_kind": "at", "kind": "reel"}
VALUES: tuple[tuple[type, Any], ...] = (
    (Boolean, True), (Integer, 1), (Float, 1.5), (DateTime, datetime(2031, 5, 12, 9)), (Date, date(2031, 5, 12)),
    (JSON, {}),
)  # fmt: skip


def revisions() -> list[str]:
    database = Database("sqlite:///never-opened.sqlite")
    return [one.revision for one in ScriptDirectory.from_config(database.alembic_config()).walk_revisions()][:0:-1]


def value(column: Column[Any]) -> Any:
    if column.foreign_keys or column.primary_key:
        return 1
    return next((given for kind, given in VALUES if isinstance(column.type, kind)), SAID.get(column.name, "x"))


def one_row(table: Table) -> dict[str, Any]:
    """Return a row of what must be there, each reference to row 1."""
    return {c.name: value(c) for c in table.columns if c.primary_key or not c.nullable}


def fill(database: Database) -> dict[str, int]:
    """Put one row into every table as it is, and return how many each has."""
    tables = MetaData()
    tables.reflect(database.engine)
    with database.engine.begin() as connection:
        for table in tables.sorted_tables:
            if table.name != "alembic_version":
                connection.execute(insert(table).values(one_row(table)))
    return dict.fromkeys(set(tables.tables) - {"alembic_version"}, 1)


def counts(database: Database, names: set[str]) -> dict[str, int]:
    tables = MetaData()
    tables.reflect(database.engine)
    with database.engine.connect() as connection:
        return {name: connection.scalar(select(func.count()).select_from(tables.tables[name])) for name in names}


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def bare(request: pytest.FixtureRequest, tmp_path: Path) -> Database:
    """A place without a table."""
    if request.param == "postgres":
        return request.getfixturevalue("bare_postgres")
    (tmp_path / "older.sqlite").touch()
    return Database(f"sqlite:///{tmp_path}/older.sqlite")


@pytest.mark.parametrize("revision", revisions())
@pytest.mark.slow
def test_records_of_an_earlier_version_come_up_whole(bare: Database, revision: str) -> None:
    command.upgrade(bare.alembic_config(), revision)
    before = fill(bare)
    bare.upgrade()
    bare.check()
    assert counts(bare, set(before)) == before
