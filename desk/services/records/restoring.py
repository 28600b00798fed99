"""Records back from a copy: into an empty place, or beside what stood there."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sqlalchemy import inspect

from desk.errors import Conflict
from desk.models.database import Database, has_other_log, refuse_folder, sqlite_file
from desk.services.records.postgres import run_program
from desk.services.records.whole_copy import check_copy, kind_of
from desk.services.word.words import doubt_copies

COMPANIONS = ("-wal", "-shm", "-journal")


def restore(file: Path, database: Database, *, set_aside: bool, now: datetime) -> Path | None:
    """Put the copy FILE in the place of DATABASE and return where the records before it went.

    Refused when FILE is no whole copy, the place is taken, or a desk still works there; nothing was changed then.
    """
    kind, place = kind_of(file), sqlite_file(database.url)
    if kind != database.engine.dialect.name:
        raise Conflict(
            f"{file} was written from {kind}, and the records are to be {database.engine.dialect.name}. Restore it "
            "into a place of its own kind, then carry it over with `move-records`."
        )
    _refuse_companions(file, "take a copy with `backup`, which has no such file beside it")
    check_copy(file, database)
    if place is None:
        _restore_postgres(file, database)
        return None
    return _restore_sqlite(file, place, set_aside=set_aside, now=now)


def _refuse_companions(file: Path, remedy: str) -> None:
    left = [name for name in COMPANIONS if Path(f"{file}{name}").exists()]
    if left:
        raise Conflict(f"{file}{left[0]} lies beside {file}: the two would be mixed. {remedy[0].upper()}{remedy[1:]}.")


def _restore_sqlite(file: Path, place: Path, *, set_aside: bool, now: datetime) -> Path | None:
    refuse_folder(place)
    if not set_aside:
        _refuse_companions(place, "it belongs to other records; set it aside with --set-aside")
        if place.exists() and place.stat().st_size:
            raise Conflict(f"There are records at {place}. Give --set-aside to keep them under another name.")
    elif place.exists():
        _close(place)
    part = place.with_name(f".{place.name}.part")
    try:
        _prepare(file, part)
        aside = _set_aside(place, now)
        part.rename(place)
    finally:
        for name in ("", *COMPANIONS):
            Path(f"{part}{name}").unlink(missing_ok=True)
    return aside


def _prepare(file: Path, part: Path) -> None:
    """Write FILE to PART in the newest form, for its owner alone, and without anything beside it."""
    part.unlink(missing_ok=True)
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    shutil.copyfile(file, part)
    fresh = Database(f"sqlite:///{part}")
    fresh.upgrade()
    with fresh.writing() as session:
        doubt_copies(session)
    fresh.dispose()
    _close(part)
    check_copy(part, fresh)


def _close(place: Path) -> None:
    """Bring all that is committed into the one file; refused while anything else has it open.

    A `-wal` of other records stays beside it, as it was found.
    """
    if has_other_log(place):
        return
    try:
        with closing(sqlite3.connect(place, timeout=2)) as connection:
            mode = connection.execute("PRAGMA journal_mode = DELETE").fetchone()[0]
    except sqlite3.OperationalError as error:
        raise Conflict(f"A desk still works with {place} ({error}). End `serve` and `planner` first.") from error
    except sqlite3.DatabaseError:
        # Damaged records are what one restores for: they are set aside as they are.
        return
    if mode != "delete":
        raise Conflict(f"A desk still works with {place}. End `serve` and `planner` first.")


def _set_aside(place: Path, now: datetime) -> Path | None:
    aside = place.with_name(f"{place.name}.before-{now:%Y%m%d-%H%M%S}")
    if aside.exists():
        raise Conflict(f"{aside} is there already; wait a second and repeat it.")
    for name in COMPANIONS:
        if Path(f"{place}{name}").exists():
            Path(f"{place}{name}").rename(f"{aside}{name}")
    if not place.exists():
        return None
    place.rename(aside)
    return aside


def _restore_postgres(file: Path, database: Database) -> None:
    if inspect(database.engine).get_table_names():
        name = database.engine.url.database
        raise Conflict(
            f"The database {name} is not empty. Make a new one (`createdb`), name it in DESK_DATABASE_URL, "
            "and restore there."
        )
    all_or_nothing = ("--exit-on-error", "--single-transaction")
    run_program("pg_restore", database.engine.url, "--no-owner", "--no-privileges", *all_or_nothing, file)
    database.upgrade()
    with database.writing() as session:
        doubt_copies(session)
