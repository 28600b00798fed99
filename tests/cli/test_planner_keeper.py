"""The planner beside serve: watched, ended when it is silent, started again with growing pauses, its log kept."""

import logging
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.cli.serve import planner_keeper
from desk.cli.serve.planner_keeper import PlannerKeeper

pytestmark = pytest.mark.slow

ALIVE = "import time\nwhile True:\n    print('beat', flush=True); time.sleep(0.05)"


def until(what, seconds: float = 20.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.02)
    return False


@pytest.fixture
def keep(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(planner_keeper, "FIRST_PAUSE", 0.05)
    monkeypatch.setattr(planner_keeper, "GRACE_SECONDS", 5.0)
    started: list[PlannerKeeper] = []

    def begin(program: str) -> PlannerKeeper:
        keeper = PlannerKeeper([sys.executable, "-c", program], "sqlite:///x", silent_seconds=1.0)
        started.append(keeper)
        keeper.start()
        return keeper

    yield begin
    for keeper in started:
        keeper.stop()


def test_one_that_dies_is_started_again_and_the_log_says_why(keep, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO):
        keeper = keep("print('no memory left', flush=True); raise SystemExit(3)")
        assert until(lambda: keeper.starts >= 3)
    assert "no memory left" in caplog.text
    assert "ended by itself (exit status 3); starting it again in" in caplog.text


def test_one_that_was_stopped_is_ended_and_started_again(keep, tmp_path: Path, caplog) -> None:
    note = tmp_path / "pid"
    keeper = keep(f"import os, pathlib\npathlib.Path({str(note)!r}).write_text(str(os.getpid()))\n{ALIVE}")
    assert until(lambda: note.exists() and note.read_text())
    time.sleep(0.3)
    os.kill(int(note.read_text()), signal.SIGSTOP)
    assert until(lambda: keeper.starts == 2)
    assert "said nothing for 1 seconds and was ended" in caplog.text


def test_one_that_beats_is_left_alone_by_a_keeper_that_was_stopped() -> None:
    """A laptop that slept, or a process that was stopped, heard nothing: that says nothing of the planner."""
    program = (
        "import sys, time\nfrom desk.cli.serve.planner_keeper import PlannerKeeper\n"
        f"keeper = PlannerKeeper([sys.executable, '-c', {ALIVE!r}], 'sqlite:///x', silent_seconds=1.0)\n"
        "keeper.start()\nwhile True:\n    print(keeper.starts, flush=True); time.sleep(0.1)"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout and process.stdout.readline() == "1\n"
        for _ in range(3):
            time.sleep(1.5)
            process.send_signal(signal.SIGSTOP)
            time.sleep(2.5)
            process.send_signal(signal.SIGCONT)
        time.sleep(1.5)
        process.kill()
        assert process.stdout.read().splitlines()[-1] == "1"


def test_one_that_is_slow_to_start_has_longer_each_time(keep, tmp_path: Path, monkeypatch, caplog) -> None:
    """On a machine that is busy with something else a planner must get ready at some time."""
    monkeypatch.setattr(planner_keeper, "GRACE_SECONDS", 0.5)
    ready = tmp_path / "ready"
    slow = f"import time, pathlib\ntime.sleep(4)\npathlib.Path({str(ready)!r}).touch()\n{ALIVE}"
    keeper = keep(slow)
    assert until(ready.exists, 60)
    starts = keeper.starts
    assert starts > 1 and "was not ready after 2 seconds and was ended" in caplog.text
    time.sleep(1.5)
    assert keeper.starts == starts


def test_one_that_beats_is_left_alone(keep) -> None:
    keeper = keep(ALIVE)
    time.sleep(2.5)
    assert keeper.starts == 1


def test_the_password_is_not_in_the_list_of_processes(keep, tmp_path: Path) -> None:
    seen = tmp_path / "seen"
    told = "os.environ['DESK_DATABASE_URL'] + str(sys.argv)"
    keep(f"import os, sys, pathlib\npathlib.Path({str(seen)!r}).write_text({told})\n{ALIVE}")
    assert until(lambda: seen.exists() and seen.read_text())
    assert seen.read_text() == "sqlite:///x['-c']"


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("DESK_PORT", "abc", "DESK_PORT is “abc”; it must be a whole number from 1 to 65535."),
        ("DESK_PORT", "70000", "it must be a whole number from 1 to 65535."),
        ("DESK_PLAN_SECONDS", "soon", "DESK_PLAN_SECONDS is “soon”; it must be a number from 0.1 to 60."),
        ("DESK_PLAN_SECONDS", "nan", "it must be a number from 0.1 to 60."),
        ("DESK_PLAN_WORKERS", "1.5", "it must be a whole number from 1 to 64."),
        ("DESK_DATABASE_URL", "desk.sqlite", "is no address of records."),
        ("DESK_DATABASE_URL", "oracle-x://a/b", "is no address of records."),
        ("DESK_LOG_FILE", "/nowhere/desk.log", "cannot be written"),
    ],
)
def test_a_wrong_setting_is_one_clear_line_before_anything_starts(
    name: str, value: str, told: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(name, value)
    done = CliRunner().invoke(main, ["serve"])
    assert (done.exit_code, told in done.output, len(done.output.splitlines())) == (1, True, 1), done.output
    assert list(tmp_path.iterdir()) == []
