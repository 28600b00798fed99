"""A copy brought back: what it is refused for, and what becomes of what stood there."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import select, text

from desk.errors import Conflict
from desk.models import Player
from desk.models.database import Database, sqlite_file
from desk.services.records.backups import back_up
from desk.services.records.restoring import restore
from tests.services.records.whole_records import NOW, all_rows, fill

pytestmark = pytest.mark.slow


def test_a_taken_place_is_refused(any_database: Database, tmp_path: Path) -> None:
    fill(any_database)
    back_up(any_database, tmp_path / "copy")
    before = all_rows(any_database)
    with pytest.raises(Conflict, match=r"set-aside|not empty"):
        restore(tmp_path / "copy", any_database, set_aside=False, now=NOW)
    assert all_rows(any_database) == before


@pytest.mark.parametrize("set_aside", [False, True])
def test_a_left_over_log_is_never_mixed_in(database: Database, tmp_path: Path, set_aside: bool) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    place = tmp_path / "back.sqlite"
    Path(f"{place}-wal").write_bytes(b"of other records")
    if not set_aside:
        with pytest.raises(Conflict, match="-wal lies beside"):
            restore(tmp_path / "copy", Database(f"sqlite:///{place}"), set_aside=False, now=NOW)
        assert not place.exists()
        return
    restore(tmp_path / "copy", Database(f"sqlite:///{place}"), set_aside=True, now=NOW)
    assert all_rows(Database(f"sqlite:///{place}")) == all_rows(database)
    assert (tmp_path / "back.sqlite.before-20310512-201500-wal").read_bytes() == b"of other records"


def test_the_log_of_other_records_is_not_mixed_in_by_opening_them(database: Database, tmp_path: Path) -> None:
    """Who copies a file into the place of another by hand leaves the `-wal` of that one beside it."""
    fill(database)
    back_up(database, tmp_path / "copy")
    wanted = all_rows(database)
    with database.writing() as session:
        session.execute(text("UPDATE player SET note = hex(zeroblob(9000))"))
    place = tmp_path / "back.sqlite"
    place.write_bytes((tmp_path / "copy").read_bytes())
    log = Path(f"{place}-wal")
    log.write_bytes(Path(f"{sqlite_file(database.url)}-wal").read_bytes())
    found = place.read_bytes(), log.read_bytes()
    for _ in range(2):
        with pytest.raises(Conflict, match="was written for other records"), Database(f"sqlite:///{place}") as mixed:
            all_rows(mixed)
    assert (place.read_bytes(), log.read_bytes()) == found
    aside = restore(tmp_path / "copy", Database(f"sqlite:///{place}"), set_aside=True, now=NOW)
    assert (aside.read_bytes(), Path(f"{aside}-wal").read_bytes()) == found
    assert all_rows(Database(f"sqlite:///{place}")) == wanted


def test_the_own_log_of_a_desk_that_was_killed_is_kept(database: Database, tmp_path: Path) -> None:
    fill(database)
    with database.writing() as session:
        session.execute(text("UPDATE player SET name = 'Later Name'"))
    place = tmp_path / "killed.sqlite"
    for ending in ("", "-wal"):
        Path(f"{place}{ending}").write_bytes(Path(f"{sqlite_file(database.url)}{ending}").read_bytes())
    assert all_rows(Database(f"sqlite:///{place}")) == all_rows(database)


def test_a_copy_with_a_log_beside_it_is_refused(database: Database, tmp_path: Path) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    (tmp_path / "copy-wal").write_bytes(b"newer rows")
    with pytest.raises(Conflict, match="would be mixed"):
        restore(tmp_path / "copy", Database(f"sqlite:///{tmp_path}/back.sqlite"), set_aside=False, now=NOW)


def test_what_stood_there_is_set_aside_whole(database: Database, tmp_path: Path) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    with database.writing() as session:
        session.execute(text("UPDATE player SET name = 'Later Name'"))
    later = all_rows(database)
    database.dispose()
    aside = restore(tmp_path / "copy", Database(database.url), set_aside=True, now=NOW)
    assert all_rows(Database(f"sqlite:///{aside}")) == later
    with database.reading() as session:
        assert session.scalars(select(Player.name)).all() == ["Player 1"]


def test_a_desk_at_work_is_not_set_aside(database: Database, tmp_path: Path) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    at_work = sqlite3.connect(sqlite_file(database.url))
    at_work.execute("SELECT count(*) FROM player").fetchone()
    with pytest.raises(Conflict, match="still works"):
        restore(tmp_path / "copy", Database(database.url), set_aside=True, now=NOW)
    at_work.close()


def test_damaged_records_are_set_aside_as_they_are(database: Database, tmp_path: Path) -> None:
    fill(database)
    back_up(database, tmp_path / "copy")
    wanted = all_rows(database)
    database.dispose()
    place = sqlite_file(database.url)
    place.write_bytes(b"no database at all, but something" * 100)
    aside = restore(tmp_path / "copy", Database(database.url), set_aside=True, now=NOW)
    assert aside.read_bytes().startswith(b"no database at all")
    assert all_rows(Database(database.url)) == wanted
