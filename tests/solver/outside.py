"""The independent checker and the workloads that lie beside the repository."""

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

SHARED = Path(os.environ.get("DESK_SHARED") or Path(__file__).parents[3] / "shared")
CHECKER = SHARED / "check_plan.py"
WORKLOADS = SHARED / "workloads"

needs_shared = pytest.mark.skipif(not CHECKER.exists(), reason="the independent checker is not beside the repository")


def workload_paths():
    """The workload files, or none."""
    return sorted(p for p in WORKLOADS.rglob("*.json") if p.name != "best_known.json")


def checker():
    """The independent checker as a module."""
    spec = importlib.util.spec_from_file_location("check_plan", CHECKER)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def checked_total(workload_path, plan, folder):
    """The total that the independent checker gives for a plan; it fails on any breach."""
    path = folder / "plan.json"
    path.write_text(json.dumps(plan.to_dict()))
    told = subprocess.run(
        [sys.executable, str(CHECKER), str(workload_path), str(path), "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stdout + told.stderr
    return json.loads(told.stdout)["total"]
