"""Getting the compiled search ready: in one process for all, with a plan meanwhile that says what it is."""

import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from solver import Plan, begin_warming, is_warm, make_plan, warm_up
from solver.warming import _Gate
from tests.solver.make import make_workload

ROOT = Path(__file__).parents[2]
PLAN_COLD = """
import json
from solver import is_warm, make_plan
from tests.solver.make import make_workload
plan = make_plan(make_workload(count=20, team=2), seconds=0.4)
print(json.dumps(plan.to_dict()), is_warm())
"""
HOLD_THE_LOCK = """
import sys, time
from pathlib import Path
from solver.warming import only_one_process
with only_one_process(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(600)
"""
TAKE_THE_LOCK = """
import sys
from pathlib import Path
from solver.warming import only_one_process
with only_one_process(Path(sys.argv[1])):
    print("taken")
"""


def start(code: str, *arguments: str, cache: Path | None = None) -> subprocess.Popen[str]:
    """A process of its own, by default with the usual cache."""
    environment = os.environ | ({"NUMBA_CACHE_DIR": str(cache)} if cache else {})
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments], cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True
    )


def test_a_plan_made_before_the_search_is_ready_says_so(tmp_path):
    out, _ = start(PLAN_COLD, cache=tmp_path).communicate(timeout=60)
    assert out.rstrip().endswith("False")
    plan = Plan.from_dict(json.loads(out.rstrip().removesuffix("False")))
    assert plan.is_quick
    assert len(plan.assignments) == 20


def test_a_plan_of_the_search_does_not():
    warm_up()
    begin_warming()
    assert is_warm()
    assert not make_plan(make_workload(count=20, team=2), seconds=0.3).is_quick


SOLVE_WHILE_OTHERS_LOAD = """
import threading
from solver import explain, make_plan, warm_up
from tests.solver.make import make_job, make_workload
jobs = tuple(make_job(i, player=f"P{i}", due=60) for i in range(20))
workload = make_workload(jobs=jobs, team=2)
others = [threading.Thread(target=warm_up, kwargs={"bound": True}) for _ in range(2)]
for one in others:
    one.start()
plan = make_plan(workload, seconds=0.4)
explain(workload, plan, seconds=0.2)
for one in others:
    one.join()
print("alive")
"""


@pytest.mark.slow
def test_a_process_may_solve_while_compiled_parts_are_loaded():
    warm_up(bound=True)
    processes = [start(SOLVE_WHILE_OTHERS_LOAD) for _ in range(6)]
    assert [one.communicate(timeout=300)[0] for one in processes] == ["alive\n"] * 6


def test_loading_waits_for_solves_and_solves_for_loading():
    gate, told = _Gate(), []

    def load():
        with gate.loading():
            told.append("loaded")

    def solve():
        with gate.solving():
            told.append("solved")

    with gate.solving(), gate.solving():
        loading = threading.Thread(target=load)
        loading.start()
        while not gate._is_loading:
            time.sleep(0.001)
        next_solve = threading.Thread(target=solve)
        next_solve.start()
        told.append("solves end")
    loading.join()
    next_solve.join()
    assert told == ["solves end", "loaded", "solved"]


@pytest.mark.slow
def test_a_killed_process_leaves_the_lock_to_the_next(tmp_path):
    holder = start(HOLD_THE_LOCK, str(tmp_path))
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    waiting = start(TAKE_THE_LOCK, str(tmp_path))
    with pytest.raises(subprocess.TimeoutExpired):
        waiting.wait(timeout=2)
    holder.kill()
    out, _ = waiting.communicate(timeout=30)
    assert out == "taken\n"
    holder.communicate()


@pytest.mark.slow
def test_two_processes_that_begin_at_once_compile_once(tmp_path):
    both = [start("import solver; solver.warm_up()", cache=tmp_path) for _ in range(2)]
    assert [one.wait(timeout=300) for one in both] == [0, 0]
    assert len(list(tmp_path.rglob("*.nbc"))) == 2
