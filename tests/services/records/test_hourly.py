"""Hourly copies: a new one each time, the older ones thinned out by name."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from desk.models.database import Database
from desk.services.records.hourly import copy_and_thin, kept

START = datetime(2031, 5, 1, 0, 30, tzinfo=UTC)


def named(hours: int) -> list[Path]:
    return [Path(f"records-{START + timedelta(hours=hour):%Y-%m-%d-%H%M%S}.sqlite") for hour in range(hours)]


def test_the_newest_two_days_stay_by_the_hour_and_the_rest_by_the_day() -> None:
    copies = named(24 * 40)
    stay = sorted(kept(copies))
    assert stay[-48:] == copies[-48:]
    older = [copy.name for copy in stay[:-48]]
    assert older == [f"records-2031-05-{day:02}-233000.sqlite" for day in range(10, 32)] + [
        f"records-2031-06-{day:02}-233000.sqlite" for day in range(1, 8)
    ]


def test_few_copies_all_stay() -> None:
    copies = named(48)
    assert kept(copies) == set(copies)


def test_a_copy_is_written_and_others_files_stay(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    first = copy_and_thin(database, folder, START)
    (folder / "notes.txt").write_text("not ours")
    old = [folder / f"records-2031-03-01-{hour:02}3000.sqlite" for hour in range(24)]
    older = [folder / f"records-2031-02-{day:02}-120000.sqlite" for day in range(1, 28)]
    for file in (*old, *older):
        file.touch()
    for hour in range(1, 47):
        (folder / f"records-{START + timedelta(hours=hour):%Y-%m-%d-%H%M%S}.sqlite").touch()
    last = copy_and_thin(database, folder, START + timedelta(hours=47))
    assert first.exists() and last.stat().st_size > 0
    assert (folder / "notes.txt").exists()
    assert [one for one in old if one.exists()] == [old[-1]]
