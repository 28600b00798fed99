"""The sample events are what their READMEs say."""

from collections import Counter
from pathlib import Path

import pytest

from desk.services.event_files import read_event, script_of
from tests.services.event_files.files import SAMPLES

FOLDERS = sorted(path for path in SAMPLES.iterdir() if path.is_dir())


def counts(name: str) -> dict[str, int]:
    """Return what is in a sample event, by word."""
    files = read_event(SAMPLES / name)
    script = script_of(files)
    racquets = [racquet for visit in script.drop_offs for racquet in visit.racquets]
    return {
        "days": len(files.tables["days"]),
        "stringers": len(files.tables["stringers"]),
        "machines": len(files.tables["machines"]),
        "matches": len(files.tables["matches"]),
        "racquets": len(racquets),
        "on court": sum(racquet.on_court for racquet in racquets),
        "hybrids": sum(racquet.bed.mains.string_code != racquet.bed.crosses.string_code for racquet in racquets),
        "own string": sum(all(half.own for half in racquet.bed) for racquet in racquets),
    }


def test_there_are_four_of_them() -> None:
    assert [path.name for path in FOLDERS] == [
        "harbour-week",
        "impossible-afternoon",
        "mill-lane-club",
        "riverside-one-day",
    ]


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_each_says_that_it_is_invented(folder: Path) -> None:
    assert "Everything in this folder is invented" in (folder / "README.md").read_text("utf-8")


def test_the_small_one_is_a_day_of_two_stringers() -> None:
    assert counts("riverside-one-day") == {
        "days": 1,
        "stringers": 2,
        "machines": 2,
        "matches": 10,
        "racquets": 35,
        "on court": 3,
        "hybrids": 3,
        "own string": 4,
    }


def test_the_club_weekend_is_two_days_of_one_stringer_without_a_match() -> None:
    assert counts("mill-lane-club") == {
        "days": 2,
        "stringers": 1,
        "machines": 1,
        "matches": 0,
        "racquets": 14,
        "on court": 0,
        "hybrids": 2,
        "own string": 0,
    }
    assert all(row["phone"] for row in read_event(SAMPLES / "mill-lane-club").tables["players"])


def test_the_middle_one_is_a_week_of_four_stringers() -> None:
    assert counts("harbour-week") == {
        "days": 7,
        "stringers": 4,
        "machines": 5,
        "matches": 53,
        "racquets": 250,
        "on court": 12,
        "hybrids": 33,
        "own string": 111,
    }


def test_what_goes_wrong_in_the_week_is_all_there() -> None:
    incidents = Counter(incident.what for incident in script_of(read_event(SAMPLES / "harbour-week")).incidents)
    unusual = {what: count for what, count in incidents.items() if what not in ("match_started", "match_finished")}
    assert unusual == {
        "match_retired": 1,
        "match_walkover": 1,
        "rain": 1,
        "play_resumes": 1,
        "machine_out": 1,
        "machine_back": 1,
        "stringer_away": 1,
        "stringer_back": 1,
    }


def test_two_players_of_the_week_have_one_name() -> None:
    names = Counter(row["name"] for row in read_event(SAMPLES / "harbour-week").tables["players"])
    assert [name for name, count in names.items() if count > 1] == ["Ana Mirandel"]


def test_every_machine_is_calibrated_at_two_tensions_on_each_day() -> None:
    for folder in FOLDERS:
        files = read_event(folder)
        done = {(row["day"], row["machine"], row["reference"].display()) for row in files.tables["calibrations"]}
        machines = [row["code"] for row in files.tables["machines"]]
        days = [row["date"] for row in files.tables["days"]]
        assert done == {(day, machine, at) for day in days for machine in machines for at in ("20 kg", "27 kg")}


def test_the_impossible_one_asks_for_more_than_its_benches_can_do() -> None:
    # 24 racquets before 13:30 at 16 minutes, the quickest bench time (common practice), for two stringers from 12:00.
    files = read_event(SAMPLES / "impossible-afternoon")
    first_call = min(row["start"] for row in files.tables["matches"] if row["start"] is not None)
    early = {row["code"] for row in files.tables["matches"] if row["start"] == first_call}
    players = {
        player
        for row in files.tables["matches"]
        if row["code"] in early
        for player in (*row["side1"].players, *row["side2"].players)
    }
    visits = [visit for visit in script_of(files).drop_offs if visit.at < first_call and visit.player_code in players]
    asked = sum(len(visit.racquets) for visit in visits) * 16
    bench_minutes = 2 * (first_call - files.tables["days"][0]["opens"]).total_seconds() / 60
    assert (asked, bench_minutes) == (384, 180)
