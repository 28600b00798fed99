"""A copy is whole or not there, and comes back as it was."""

import sqlite3
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select, text

from desk.errors import BadInput, Conflict, NotFound
from desk.models import Base, Player, Secret
from desk.models.database import Database, sqlite_file
from desk.services.records.backups import back_up
from desk.services.records.moving import move_records
from desk.services.records.restoring import restore
from tests.services.small_desk import small_desk

pytestmark = pytest.mark.slow

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
