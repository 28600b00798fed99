"""`serve` as a process: it answers, it ends gently, and its planner ends with it."""

import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.request import urlopen

import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.models.database import Database

SECONDS = 90.0


@contextmanager
def served(folder: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Run `serve` over fresh records and give the process and its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    settings = {"DESK_DATABASE_URL": f"sqlite:///{folder}/desk.sqlite", "DESK_BACKUP_FOLDER": str(folder / "copies")}
    command = [sys.executable, "-m", "desk", "serve", "--port", str(port), *more]
    process = subprocess.Popen(
        command, env=os.environ | settings, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    address = f"http://127.0.0.1:{port}"
    try:
        assert until(lambda: answers(f"{address}/healthz")), process.stdout and process.stdout.read()
        yield process, address
    finally:
        process.kill()
        process.wait()


def answers(address: str) -> bool:
    with suppress(OSError), urlopen(address, timeout=2) as answer:
        return answer.status == 200
    return False


def until(what, seconds: float = SECONDS) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.1)
    return False


def children(pid: int) -> list[int]:
    of_threads = [task / "children" for task in Path(f"/proc/{pid}/task").iterdir()]
    return [int(word) for one in of_threads for word in one.read_text().split()]


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs /proc to see the planner")
@pytest.mark.slow
def test_it_ends_gently_with_its_planner_and_leaves_a_copy(tmp_path: Path) -> None:
    with served(tmp_path) as (process, address):
        assert until(lambda: answers(f"{address}/sign-in"))
        assert until(lambda: children(process.pid))
        planners = children(process.pid)
        assert until(lambda: list((tmp_path / "copies").glob("records-*.sqlite")))
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=40) == 0
        assert until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in planners), 20)
    assert oct((tmp_path / "desk.sqlite").stat().st_mode & 0o777) == "0o600"


@pytest.mark.slow
def test_a_line_of_the_planner_has_one_time_stamp(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/desk.sqlite"
    with Database(url) as database:
        database.upgrade()
    sample = Path(__file__).parents[2] / "sample_events" / "riverside-one-day"
    assert CliRunner().invoke(main, ["--database", url, "import", str(sample)]).exit_code == 0
    with served(tmp_path) as (process, _):
        end = threading.Timer(SECONDS, process.kill)
        end.start()
        line = next(line for line in process.stdout if "planned anew" in line)
        end.cancel()
    assert re.fullmatch(r"[\d-]+ [\d:,]+ desk\.planner riverside-one-day: planned anew in [\d.]+ s\n", line), line


@pytest.mark.slow
def test_a_second_one_on_the_same_port_is_one_clear_line(tmp_path: Path) -> None:
    with served(tmp_path, "--no-planner") as (_, address):
        again = subprocess.run(
            [sys.executable, "-m", "desk", "serve", "--port", address.rpartition(":")[2]],
            env=os.environ | {"DESK_DATABASE_URL": f"sqlite:///{tmp_path}/other.sqlite"},
            capture_output=True, text=True, check=False, timeout=SECONDS,
        )  # fmt: skip
    assert again.returncode == 1
    assert "Is a desk running already?" in again.stderr and "Traceback" not in again.stderr
