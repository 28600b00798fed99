"""Records of every earlier version come up to the newest form with every row they had."""

import shutil
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
    """Put one row into every empty table as it is, and return how many each has."""
    tables = MetaData()
    tables.reflect(database.engine)
    with database.engine.begin() as connection:
        for table in tables.sorted_tables:
            if connection.scalar(select(func.count()).select_from(table)) == 0:
                connection.execute(insert(table).values(one_row(table)))
    return counts(database)


def counts(database: Database) -> dict[str, int]:
    tables = MetaData()
    tables.reflect(database.engine)
    with database.engine.connect() as connection:
        return {
            name: connection.scalar(select(func.count()).select_from(table)) for name, table in tables.tables.items()
        }


@pytest.fixture(scope="session")
def rungs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return an empty SQLite file of every earlier version."""
    folder = tmp_path_factory.mktemp("rungs")
    (folder / "now.sqlite").touch()
    database, found = Database(f"sqlite:///{folder}/now.sqlite"), {}
    for revision in revisions():
        command.upgrade(database.alembic_config(), revision)
        database.dispose()
        found[revision] = Path(shutil.copy(folder / "now.sqlite", folder / f"{revision}.sqlite"))
    return found


@pytest.mark.parametrize("revision", revisions())
@pytest.mark.slow
def test_records_of_an_earlier_version_come_up_whole(rungs: dict[str, Path], revision: str) -> None:
    database = Database(f"sqlite:///{rungs[revision]}")
    before = fill(database)
    database.upgrade()
    assert counts(database).items() >= before.items()
    database.dispose()


def test_records_on_a_server_come_up_version_by_version(bare_postgres: Database) -> None:
    """Each version finds a row in every table, and at last the records are of the newest form."""
    before: dict[str, int] = {}
    for revision in [*revisions(), "head"]:
        command.upgrade(bare_postgres.alembic_config(), revision)
        after = counts(bare_postgres)
        assert {name: min(count, after[name]) for name, count in before.items()} == before
        before = fill(bare_postgres)
    bare_postgres.check()
