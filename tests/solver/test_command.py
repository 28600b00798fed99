"""The command line: a workload file in, a plan file out, faults on stderr."""

import json
import subprocess
import sys

import pytest

from solver.__main__ import main
from tests.solver.make import make_job, make_workload
from tests.solver.outside import checked_total, needs_shared

pytestmark = pytest.mark.slow


@pytest.fixture
def workload_path(tmp_path):
    path = tmp_path / "workload.json"
    path.write_text(json.dumps(make_workload(3).to_dict()))
    return path


def test_a_plan_is_written_and_its_costs_are_printed(workload_path, tmp_path, capsys):
    out = tmp_path / "out.json"
    assert main([str(workload_path), "--seconds", "2", "--out", str(out)]) == 0
    plan = json.loads(out.read_text())
    assert (plan["status"], plan["total"], plan["bound"], plan["unplaced"]) == ("optimal", 120, 120, [])
    printed = capsys.readouterr().out.split()
    assert printed[printed.index("waiting") + 1] == "120"
    assert printed[printed.index("total") + 1] == "120"


@needs_shared
def test_the_written_plan_passes_the_independent_checker(workload_path, tmp_path):
    out = tmp_path / "out.json"
    assert main([str(workload_path), "--seconds", "1", "--seed", "4", "--workers", "1", "--out", str(out)]) == 0

    class Written:
        @staticmethod
        def to_dict():
            return json.loads(out.read_text())

    assert checked_total(workload_path, Written, tmp_path) == 120


def test_every_fault_goes_to_stderr_and_nothing_is_written(tmp_path, capsys):
    path, out = tmp_path / "workload.json", tmp_path / "out.json"
    path.write_text('{"stringers": [], "machines": [], "jobs": [{"id": "J1", "due": "noon"}]}')
    assert main([str(path), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == [
        "jobs[0].player: is missing.",
        "jobs[0].minutes: is missing.",
        "jobs[0].due: must be a whole number, not 'noon'.",
    ]
    assert not out.exists()


def test_a_place_that_cannot_be_written_is_said(workload_path, tmp_path, capsys):
    assert main([str(workload_path), "--seconds", "0", "--out", str(tmp_path / "none" / "out.json")]) == 2
    assert "cannot be written (No such file or directory)." in capsys.readouterr().err


@pytest.mark.parametrize("wrong", [["--seconds", "-1"], ["--seconds", "soon"], ["--workers", "0"], ["--seed", "x"]])
def test_options_out_of_range_are_refused(workload_path, wrong, capsys):
    with pytest.raises(SystemExit) as caught:
        main([str(workload_path), "--out", "plan.json", *wrong])
    assert caught.value.code == 2
    assert wrong[0] in capsys.readouterr().err


def test_progress_prints_lines_with_total_bound_and_gap(tmp_path, capsys):
    path = tmp_path / "workload.json"
    jobs = tuple(make_job(i, player=f"P{i}", minutes=15 + i % 9, ready_from=3 * i) for i in range(1, 31))
    path.write_text(json.dumps(make_workload(team=2, jobs=jobs).to_dict()))
    assert main([str(path), "--seconds", "1", "--progress", "--out", str(tmp_path / "out.json")]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert [word for word in first.split() if word.isalpha()] == ["s", "total", "bound", "gap"]


def test_the_module_runs_as_a_command(workload_path, tmp_path):
    command = [sys.executable, "-m", "solver", str(workload_path), "--seconds", "1"]
    told = subprocess.run([*command, "--out", str(tmp_path / "out.json")], capture_output=True, text=True, check=False)
    assert (told.returncode, told.stderr) == (0, "")
    assert json.loads((tmp_path / "out.json").read_text())["total"] == 120
