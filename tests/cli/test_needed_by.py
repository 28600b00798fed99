"""`python -m desk needed-by`: starts and needed-by times as CSV."""

import csv
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from desk.cli import main
from desk.models.database import Database
from tests.make import make_court, make_event, make_match, make_player
from tests.services.event_files.files import EVENT, write_event

pytestmark = pytest.mark.slow

SAMPLES = Path(__file__).parents[2] / "sample_events"
SAMPLE = SAMPLES / "riverside-one-day"
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


def test_an_event_in_files_is_known_as_its_incidents_left_it(tmp_path: Path) -> None:
    out = tmp_path / "needed.csv"
    result = run(SAMPLES / "harbour-week", "--at", "Wed 13:45", "--out", out)
    assert result.output == f"{out}: 53 matches, 114 rows, as known on Wed 13:45\n"
    rows = {row["match"]: row for row in rows_of(out)}
    # Rain since 13:20, expected until 14:30; M18 began at 13:02, M24 ended at 12:54, M12 by retirement on Tuesday.
    assert [(rows[code]["state"], rows[code]["start_05"]) for code in ("M18", "M24", "M12")] == [
        ("suspended", "2031-06-11 14:30"),
        ("finished", "2031-06-11 11:30"),
        ("retired", "2031-06-10 12:36"),
    ]
    assert rows["M18"]["needed_by"] == "2031-06-11 14:00"
    assert all(row["start_05"] >= "2031-06-11 14:30" for row in rows.values() if row["state"] == "scheduled")


# Start of the k-th match, minutes after the first one's, all followed by, 15 minutes between; 1, 5, 10, 50, 90 %.
# Computed from "Tennis databases, files, and algorithms", Jeff Sackmann / Tennis Abstract (CC BY-NC-SA 4.0).
PUBLISHED = ((77, 83, 116, 171), (170, 184, 241, 309), (271, 290, 363, 445), (376, 399, 485, 578), (483, 510, 607, 710))


@pytest.mark.outside
def test_a_court_of_followed_matches_lies_on_the_published_table(tmp_path: Path) -> None:
    matches = "code,day,court,position,format,start_kind,start,side1,side2\n"
    for k in range(1, 7):
        start = "at,09:00" if k == 1 else "followed_by,"
        matches += f"K{k},2031-05-12,Court 1,{k},best_of_3_men,{start},P1,P2\n"
    # One pair plays all day here, so that its rest must not count.
    event = EVENT + "between_least_minutes = 15\nbetween_median_minutes = 15\nrest_minutes = 0\n"
    out = tmp_path / "needed.csv"
    files = write_event(tmp_path, event=event, matches=matches, dropoffs=None)
    assert run(files, "--out", out).exit_code == 0
    rows = {row["match"]: row for row in rows_of(out)}
    for k, published in enumerate(PUBLISHED, start=2):
        assert [since_nine(rows[f"K{k}"][name]) for name in POINTS[1:]] == pytest.approx(published, abs=4)


def since_nine(text: str) -> int:
    return int((datetime.fromisoformat(text) - datetime(2031, 5, 12, 9)).total_seconds() // 60)
