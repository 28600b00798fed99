"""A copy is whole or not there, and comes back as it was."""

import sqlite3
import stat
from pathlib import Path

import pytest
from sqlalchemy import text

from desk.errors import BadInput, Conflict, NotFound
from desk.models.database import Database, sqlite_file
from desk.services.records.backups import back_up
from desk.services.records.restoring import restore
from tests.services.records.whole_records import NOW, PLACE_OF_SECRET, all_rows, empty_like, fill
from tests.services.small_desk import small_desk

pytestmark = pytest.mark.slow


def test_a_copy_comes_back_as_it_was(any_database: Database, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    fill(any_database)
    file = tmp_path / "copy"
    back_up(any_database, file)
    place = empty_like(any_database, request, tmp_path)
    assert restore(file, place, set_aside=False, now=NOW) is None
    assert all_rows(place) == all_rows(any_database)
    place.check()
    with place.writing() as session:
        small_desk(session, slug="next")


def test_a_copy_is_for_its_owner_and_without_the_signing_key(any_database: Database, tmp_path: Path) -> None:
    fill(any_database)
    file = tmp_path / "copy"
    back_up(any_database, file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert PLACE_OF_SECRET.encode() not in file.read_bytes()
    assert [one.name for one in tmp_path.iterdir() if ".part" in one.name] == []


def test_no_records_are_no_copy(tmp_path: Path) -> None:
    place = tmp_path / "not-there.sqlite"
    with pytest.raises(NotFound, match="There are no records"):
        back_up(Database(f"sqlite:///{place}"), tmp_path / "copy")
    assert list(tmp_path.iterdir()) == []


def test_an_empty_file_is_no_copy(tmp_path: Path) -> None:
    (tmp_path / "empty.sqlite").touch()
    with pytest.raises(BadInput, match="holds no records yet"):
        back_up(Database(f"sqlite:///{tmp_path}/empty.sqlite"), tmp_path / "copy")
    assert not (tmp_path / "copy").exists()


def test_damaged_records_give_no_copy(database: Database, tmp_path: Path) -> None:
    fill(database)
    file = sqlite_file(database.url)
    with database.engine.connect() as connection:
        page = connection.scalar(text("SELECT rootpage FROM sqlite_master WHERE name = 'player'"))
    database.dispose()
    with file.open("rb+") as opened:
        opened.seek((page - 1) * 4096)
        opened.write(b"\xff" * 4096)
    with pytest.raises((Conflict, BadInput), match=r"malformed|damaged"):
        back_up(Database(database.url), tmp_path / "copy")
    assert not (tmp_path / "copy").exists()


@pytest.mark.parametrize("share", [0.3, 0.99])
def test_a_copy_cut_short_is_refused(
    any_database: Database, request: pytest.FixtureRequest, tmp_path: Path, share: float
) -> None:
    fill(any_database)
    file = tmp_path / "copy"
    back_up(any_database, file)
    content = file.read_bytes()
    file.write_bytes(content[: int(len(content) * share)])
    with pytest.raises((BadInput, Conflict)):
        restore(file, empty_like(any_database, request, tmp_path), set_aside=False, now=NOW)
    assert not (tmp_path / "back.sqlite").exists()


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 a workbook", b"SQLite format 3\x00"])
def test_something_else_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "copy").write_bytes(content)
    with pytest.raises(BadInput):
        restore(tmp_path / "copy", Database(f"sqlite:///{tmp_path}/back.sqlite"), set_aside=False, now=NOW)
    assert not (tmp_path / "back.sqlite").exists()


def test_records_of_a_newer_program_are_refused(database: Database, tmp_path: Path) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    copy = sqlite3.connect(tmp_path / "copy")
    copy.execute("UPDATE alembic_version SET version_num = '9999'")
    copy.commit()
    copy.close()
    with pytest.raises(BadInput, match="newer version"):
        restore(tmp_path / "copy", Database(f"sqlite:///{tmp_path}/back.sqlite"), set_aside=False, now=NOW)
