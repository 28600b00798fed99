"""The command `day` on a sample event: sheets, tables, workloads and plans, and what was late with its reason."""

import json
import re
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.cli.progress import ProgressLine
from solver import Plan, check_plan, read_workload
from tests.played import SAMPLES

pytestmark = pytest.mark.slow


def test_a_played_event_leaves_its_sheets_tables_workloads_and_plans(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, _words(tmp_path, "--quiet"))
    assert result.exit_code == 0, result.output
    days = sorted(path.name[6:16] for path in tmp_path.glob("usage-2*.xlsx"))
    assert days
    for day in days:
        workload = read_workload(json.loads((tmp_path / f"{day}-workload.json").read_text()))
        plan = Plan.from_dict(json.loads((tmp_path / f"{day}-plan.json").read_text()))
        assert check_plan(workload, plan) == []
        assert openpyxl.load_workbook(tmp_path / f"usage-{day}.xlsx").sheetnames[0] == "Summary"
    assert (tmp_path / "usage-event.xlsx").exists()
    assert sorted(path.suffix for path in (tmp_path / "tables").iterdir())[0] == ".csv"
    late = [line for line in result.output.splitlines() if "LATE" in line]
    assert late
    assert all(re.search(r"LATE (\d+ min|\d+ h( \d\d)?): .+\.$", line) for line in late)


def test_somebody_who_watches_sees_share_time_left_and_racquets_late(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[str] = []
    monkeypatch.setattr(ProgressLine, "is_due", True)
    monkeypatch.setattr(ProgressLine, "_write", lambda _, text: shown.append(text))
    result = CliRunner().invoke(main, _words(tmp_path))
    late_in_the_end = re.search(r"racquets, (\d+) late, \d+ tight$", result.output, re.MULTILINE)
    assert late_in_the_end is not None
    assert all(
        re.fullmatch(r"Playing: \d+%, \w+ \d\d:\d\d, \d+ late, \d+ tight(, \d+ (s|min) left)?", s) for s in shown
    )
    assert f", {late_in_the_end[1]} late, " in shown[-1]
    assert "left" in shown[-1]


def _words(folder: Path, *more: str) -> list[str]:
    return ["day", str(SAMPLES / "impossible-afternoon"), "--out", str(folder), "--steps", "500", *more]


def test_a_missing_event_is_one_clear_line(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["day", str(tmp_path / "none"), "--out", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert "does not exist" in result.output
