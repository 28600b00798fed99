"""`python -m desk needed-by`: starts and needed-by times as CSV."""

from __future__ import annotations

import csv
from pathlib import Path

from click.testing import CliRunner, Result

from desk.cli import main
from desk.models.database import Database
from tests.make import make_court, make_event, make_match, make_player

SAMPLE = Path(__file__).parents[2] / "sample_events" / "riverside-one-day"
POINTS = ("start_01", "start_05", "start_10", "start_50", "start_90")


def run(*words: object, database: Database | None = None) -> Result:
    url = () if database is None else ("--database", database.url)
    return CliRunner().invoke(main, [*url, "needed-by", *(str(word) for word in words)])


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_every_match_of_a_sample_event_gets_points_in_order(tmp_path: Path) -> None:
    out = tmp_path / "needed.csv"
    assert run(SAMPLE, "--out", out).exit_code == 0
    with (SAMPLE / "matches.csv").open(encoding="utf-8") as lines:
        codes = {row["code"] for row in csv.DictReader(lines)}
    rows = rows_of(out)
    assert {row["match"] for row in rows} == codes
    for row in rows:
        points = [row[name] for name in POINTS]
        assert points == sorted(points)
        assert row["needed_by"] < row["start_50"]


def test_a_stored_event_is_found_by_its_short_name(database: Database, tmp_path: Path) -> None:
    with database.writing() as session:
        event = make_event(session, slug="testfield")
        a, b = make_player(session, event, name="A"), make_player(session, event, name="B")
        make_match(session, make_court(session, event), day=event.days[0], players=(a, b), start="at 11:00")
    out = tmp_path / "needed.csv"
    result = run("testfield", "--at", "Mon 09:00", "--out", out, database=database)
    assert result.output == f"{out}: 1 matches, 2 rows, as known on Mon 09:00\n"
    assert [(row["player_name"], row["start_50"], row["needed_by"]) for row in rows_of(out)] == [
        ("A", "2031-05-12 11:00", "2031-05-12 10:30"),
        ("B", "2031-05-12 11:00", "2031-05-12 10:30"),
    ]


def test_a_match_that_is_late_starts_no_sooner_than_now(database: Database, tmp_path: Path) -> None:
    with database.writing() as session:
        event = make_event(session, slug="testfield")
        make_match(session, make_court(session, event), day=event.days[0], start="at 11:00")
    out = tmp_path / "needed.csv"
    run("testfield", "--at", "Mon 11:40", "--out", out, database=database)
    assert [row["start_01"] for row in rows_of(out)] == ["2031-05-12 11:40"]


def test_an_unknown_event_and_an_unreadable_time_are_told(database: Database, tmp_path: Path) -> None:
    unknown = run("nowhere", "--out", tmp_path / "x.csv", database=database)
    assert (unknown.exit_code, "nowhere" in unknown.output) == (1, True)
    unreadable = run(SAMPLE, "--at", "Sat 25:99", "--out", tmp_path / "x.csv")
    assert (unreadable.exit_code, 'Write it like "14:05"' in unreadable.output) == (1, True)
