"""The bench: a line for each rival and time, every plan checked."""

import json
from dataclasses import replace

import pytest

from solver import check_plan
from solver.course import MOST_FOR_PROOF
from solver.dispatch import earliest_due
from solver.judge.costs import cost_of_assignments
from solver.measure.__main__ import main
from solver.measure.rows import COLUMNS, rows_of_changes
from solver.measure.ways import model_alone
from tests.solver.make import make_workload


def test_the_table_has_a_line_for_each_rival_and_time(tmp_path, capsys):
    data = make_workload(3).to_dict() | {"name": "three"}
    (tmp_path / "three.json").write_text(json.dumps(data))
    (tmp_path / "best_known.json").write_text('{"three": 120}')
    assert main([str(tmp_path), "--seconds", "1"]) == 0
    head, *lines = capsys.readouterr().out.splitlines()
    assert head == COLUMNS
    assert [line[14:30].strip() for line in lines] == ["first come", "earliest due", "make_plan", "whole CP-SAT"]
    assert lines[2].split()[:7] == ["three", "make_plan", "1", "120", "120", "1.0000", "120"]


def test_only_the_named_workloads_are_planned_and_rivals_may_stay_away(tmp_path, capsys):
    for name in ("one", "two"):
        (tmp_path / f"{name}.json").write_text(json.dumps(make_workload(1).to_dict() | {"name": name}))
    assert main([str(tmp_path), "--only", "two", "--no-rivals", "--seconds", "1"]) == 0
    assert [line.split()[:2] for line in capsys.readouterr().out.splitlines()[1:]] == [["two", "make_plan"]]


@pytest.mark.slow
def test_after_each_change_a_plan_stands_beside_a_thorough_one():
    workload = make_workload(12, team=3)
    workload = replace(workload, jobs=tuple(replace(job, due=200) for job in workload.jobs))
    rows = list(rows_of_changes(workload, 0.3, seed=0, workers=2, thorough=0.5))
    assert [row.by for row in rows] == ["one job more", "stringer gone", "machine out", "match moved", "all at once"]
    assert all(row.bound <= row.best_known == row.total for row in rows)


def test_an_empty_folder_is_refused(tmp_path, capsys):
    assert main([str(tmp_path)]) == 2
    assert "holds no workload" in capsys.readouterr().err


def test_a_faulty_workload_is_refused(tmp_path, capsys):
    (tmp_path / "bad.json").write_text("{}")
    assert main([str(tmp_path), "--seconds", "1"]) == 2
    assert "jobs: is missing." in capsys.readouterr().err


def test_the_ways_to_plan_stand_side_by_side(tmp_path, capsys):
    (tmp_path / "three.json").write_text(json.dumps(make_workload(3).to_dict() | {"name": "three"}))
    assert main([str(tmp_path), "--ways", "--seconds", "1", "--first", "2"]) == 0
    assert capsys.readouterr().out.splitlines()[2:] == ["| three, first 2 | 2 | 1 | 60 | 60 | 60 |"]


@pytest.mark.slow
def test_the_model_alone_keeps_every_rule_part_by_part():
    workload = make_workload(MOST_FOR_PROOF + 4, 2)
    plan = model_alone(workload, 1.0, seed=0, workers=1)
    assert check_plan(workload, plan) == []
    assert plan.total == cost_of_assignments(workload, *earliest_due(workload, workload.points))["waiting"]
