"""Copies of the records by the hour, the older ones thinned out."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from desk.models.database import Database
from desk.services.records.backups import back_up

PREFIX = "records-"
HOURS_KEPT = 48
DAYS_KEPT = 31


def copy_and_thin(database: Database, folder: Path, now: datetime) -> Path:
    """Write a copy into FOLDER and remove those that are not kept any more; returns the new one.

    Kept are the newest 48, and the last of each of the newest 31 days. Only what was written here is removed.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    ending = "sqlite" if database.engine.dialect.name == "sqlite" else "dump"
    file = folder / f"{PREFIX}{now:%Y-%m-%d-%H%M%S}.{ending}"
    back_up(database, file)
    copies = sorted(folder.glob(f"{PREFIX}*.{ending}"))
    for old in set(copies) - kept(copies) - {file}:
        old.unlink()
    return file


def kept(copies: list[Path]) -> set[Path]:
    """Return which of these copies, named by their times and in their order, are kept."""
    by_day = {copy.name[len(PREFIX) :][:10]: copy for copy in copies}
    return {*copies[-HOURS_KEPT:], *(by_day[day] for day in sorted(by_day)[-DAYS_KEPT:])}
