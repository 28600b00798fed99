"""Records of every earlier version come up to the newest form with every row they had."""

import shutil
from datetime import date, datetime
from itertools import pairwise
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


def reflected(database: Database) -> MetaData:
    tables = MetaData()
    tables.reflect(database.engine)
    return tables


def counts(database: Database, tables: MetaData) -> dict[str, int]:
    counted = [select(func.count()).select_from(t).scalar_subquery().label(name) for name, t in tables.tables.items()]
    with database.engine.connect() as connection:
        return dict(connection.execute(select(*counted)).one()._mapping) if counted else {}


def fill(database: Database) -> dict[str, int]:
    """Put one row into every empty table as it is, and return how many each has."""
    tables = reflected(database)
    before = counts(database, tables)
    with database.engine.begin() as connection:
        for table in tables.sorted_tables:
            if before[table.name] == 0:
                connection.execute(insert(table).values(one_row(table)))
    return {name: max(1, count) for name, count in before.items()}


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


@pytest.mark.parametrize(("revision", "next_one"), list(pairwise([*revisions(), "head"])))
@pytest.mark.slow
def test_records_of_an_earlier_version_come_up_whole(rungs: dict[str, Path], revision: str, next_one: str) -> None:
    """One version up, with rows of the earlier one; the next test climbs all the way."""
    with Database(f"sqlite:///{rungs[revision]}") as database:
        before = fill(database)
        command.upgrade(database.alembic_config(), next_one)
        assert counts(database, reflected(database)).items() >= before.items()


@pytest.mark.slow
def test_the_tick_of_a_visit_becomes_the_answer_of_each_of_its_racquets(tmp_path: Path) -> None:
    """It said: no crack, grommets whole. A visit without it has no answer."""
    (tmp_path / "ticked.sqlite").touch()
    with Database(f"sqlite:///{tmp_path}/ticked.sqlite") as database:
        command.upgrade(database.alembic_config(), "0027")
        fill(database)
        visits, jobs = (reflected(database).tables[name] for name in ("drop_off", "job"))
        visit, job = one_row(visits) | {"request_key": "2", "frame_checked": False}, one_row(jobs)
        with database.engine.begin() as connection:
            connection.execute(insert(visits).values(visit | {"id": 2}))
            connection.execute(insert(jobs).values(job | {"id": 2, "drop_off_id": 2, "serial": 2, "code": "2"}))
        command.upgrade(database.alembic_config(), "head")
        jobs = reflected(database).tables["job"]
        with database.engine.connect() as connection:
            assert connection.execute(select(jobs.c.frame_check).order_by(jobs.c.id)).scalars().all() == ["sound", ""]


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("server", marks=pytest.mark.postgres)])
@pytest.mark.slow
def test_records_come_up_version_by_version(request: pytest.FixtureRequest, tmp_path: Path, kind: str) -> None:
    """Each version finds a row in every table, and at last the records are of the newest form."""
    (tmp_path / "old.sqlite").touch()
    empty = f"sqlite:///{tmp_path}/old.sqlite"
    before: dict[str, int] = {}
    with Database(empty) if kind == "sqlite" else request.getfixturevalue("bare_postgres") as database:
        for revision in [*revisions(), "head"]:
            command.upgrade(database.alembic_config(), revision)
            after = counts(database, reflected(database))
            assert {name: min(count, after[name]) for name, count in before.items()} == before
            before = fill(database)
        database.check()
