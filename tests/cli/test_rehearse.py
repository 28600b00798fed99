"""`python -m desk rehearse`: an event's files played by several teams."""

import json
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from desk.cli import main
from desk.models.database import Database
from tests.services.event_files.files import write_event

pytestmark = pytest.mark.slow

SAMPLE = Path(__file__).parents[2] / "sample_events" / "riverside-one-day"


def run(*words: object, database: Database | None = None) -> Result:
    url = () if database is None else ("--database", database.url)
    return CliRunner().invoke(main, [*url, "rehearse", *(str(word) for word in words), "--workers", "1"])


def test_a_sample_event_is_rehearsed_by_two_teams(tmp_path: Path) -> None:
    teams = ("--team", "1 from 9 to 12", "--team", "4 from 8 to 20")
    result = run(SAMPLE, *teams, "--days", 20, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "1 from 9 to 12" in result.output
    assert "Least team for 98 in 100 on time on 9 days of 10" in result.output
    found = json.loads((tmp_path / "out" / "rehearsal.json").read_text(encoding="utf-8"))
    small, large = found["teams"]
    assert small["late_pct"]["mean"] > 50
    assert large["late_pct"]["mean"] < 20
    assert not small["keeps_goal"]
    assert small["racquets"] == large["racquets"]
    for team in (small, large):
        assert team["late_pct"]["low"] <= team["late_pct"]["mean"] <= team["late_pct"]["high"]
    book = openpyxl.load_workbook(tmp_path / "out" / "rehearsal.xlsx")
    assert book.sheetnames == ["Rehearsal", "Teams", "Hours", "Promises", "Stringers", "String"]
    assert book["Teams"]["A5"].value == "1 from 9 to 12"
    pictures = sorted(path.name for path in (tmp_path / "out").glob("*.svg"))
    assert len(pictures) == 4
    assert all((tmp_path / "out" / name).read_text(encoding="utf-8").startswith("<svg") for name in pictures)


def test_the_same_rehearsal_says_the_same_again(tmp_path: Path) -> None:
    texts = [run(SAMPLE, "--days", 5, "--out", tmp_path / name).output for name in ("a", "b")]
    assert texts[0].splitlines()[-1] == texts[1].splitlines()[-1]
    first, second = (json.loads((tmp_path / n / "rehearsal.json").read_text()) for n in ("a", "b"))
    assert first | {"made_at": ""} == second | {"made_at": ""}


def test_an_event_without_matches_and_drop_offs_is_filled_in_from_its_players(tmp_path: Path) -> None:
    folder = write_event(tmp_path, matches=None, dropoffs=None)
    result = run(folder, "--players", 20, "--matches", "6,6", "--days", 3, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    found = json.loads((tmp_path / "out" / "rehearsal.json").read_text(encoding="utf-8"))
    assert found["assumptions"][0].startswith("20 players")
    assert found["teams"][0]["racquets"]["mean"] > 20


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--team", "a few"), "is no team"),
        (("--matches", "1,2,3,4,5,6,7,8,9"), "numbers of matches"),
        (("--goal", "most"), "--goal is written 98/9"),
    ],
)
def test_what_cannot_be_rehearsed_is_refused_with_the_reason(tmp_path: Path, words: tuple[str, str], said: str) -> None:
    result = run(SAMPLE, *words, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert said in result.output


def test_whose_players_are_proposed_with_the_rehearsal(tmp_path: Path) -> None:
    result = run(SAMPLE, "--days", 3, "--whose", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "Whose players, at most" in result.output
    rows = (tmp_path / "out" / "whose-players.csv").read_text(encoding="utf-8").splitlines()
    with (SAMPLE / "players.csv").open(encoding="utf-8") as lines:
        assert len(rows) == len(lines.readlines())
