"""An event is written whole or not at all, and nothing in its tables can be run."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import select

from desk.errors import BadInput, Conflict
from desk.models import Event, Player
from desk.models.database import Database
from desk.services.event_files import SO_FAR, read_event, store_event, store_so_far, write_event
from desk.services.event_files.so_far import writing
from exports.text import guard
from tests import make
from tests.services.small_desk import small_desk

RUNNABLE = ("=1+1", "+351 555 0141", "-2+3", "@SUM(A1)", "'=1", "Ann;=1+1")


@pytest.fixture
def desk(database: Database) -> Database:
    """A small desk with players whose names a spreadsheet would run."""
    with database.writing() as session:
        event = small_desk(session, slug="small").event
        for name in RUNNABLE:
            make.make_player(session, event, name=name)
    return database


def write(database: Database, folder: Path) -> Path:
    with database.reading() as session:
        write_event(session, session.scalars(select(Event)).one(), folder)
    return folder


@contextmanager
def small_files(most_bytes: int) -> Iterator[None]:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_a_disk_that_runs_full_leaves_nothing_of_it(desk: Database, tmp_path: Path) -> None:
    with small_files(2000), pytest.raises(Conflict, match=r"could not be written .*; nothing was kept of it"):
        write(desk, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    assert (write(desk, tmp_path / "out") / SO_FAR).stat().st_size > 2000


def test_a_fault_on_the_way_leaves_nothing_of_it(desk: Database, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(writing, "tables_stamp", lambda _folder: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write(desk, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_folder_that_was_left_half_way_is_refused(desk: Database, tmp_path: Path, monkeypatch) -> None:
    def stopped(folder: Path) -> str:
        for file in folder.iterdir():
            (tmp_path / "half" / file.name).write_bytes(file.read_bytes())
        return ""

    (tmp_path / "half").mkdir()
    monkeypatch.setattr(writing, "tables_stamp", stopped)
    write(desk, tmp_path / "out")
    assert (tmp_path / "half" / "players.csv").exists() and (tmp_path / "half" / SO_FAR).is_file()
    with desk.writing() as session, pytest.raises(BadInput, match="was not written to its end"):
        store_so_far(session, tmp_path / "half", acting=make.acting())


@pytest.mark.postgres
def test_no_name_in_a_table_can_be_run_and_all_come_back(desk: Database, tmp_path: Path, postgres: Database) -> None:
    folder = write(desk, tmp_path / "out")
    table = (folder / "players.csv").read_text()
    assert all(guard(name) in table for name in RUNNABLE)
    (folder / SO_FAR).unlink()
    with postgres.writing() as session:
        store_event(session, read_event(folder), acting=make.acting())
    with postgres.reading() as session:
        assert set(RUNNABLE) <= set(session.scalars(select(Player.name)))
