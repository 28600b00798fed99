"""Making, copying and bringing back the records at the prompt."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.models import Base
from desk.models.database import Database

pytestmark = pytest.mark.slow


def run(*arguments: str | Path):
    return CliRunner().invoke(main, [str(one) for one in arguments])


def test_a_wrong_path_is_one_line_and_makes_no_file(tmp_path: Path) -> None:
    done = run("--database", f"sqlite:///{tmp_path}/none.sqlite", "backup", tmp_path / "copy")
    assert done.exit_code == 1
    assert done.output.startswith("Error: There are no records at ")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["init", "serve", "planner", "backup copy", "restore copy --set-aside"])
def test_a_place_where_no_records_can_be_is_one_line(tmp_path: Path, command: str) -> None:
    (tmp_path / "copy").write_bytes(b"")
    for place, told in (
        (tmp_path, "is a folder"),
        (tmp_path / "none" / "desk.sqlite", "No such file|no records|no copy"),
    ):
        words = [str(tmp_path / word) if word == "copy" else word for word in command.split()]
        done = run("--database", f"sqlite:///{place}", *words)
        assert (done.exit_code, len(done.output.splitlines())) == (1, 1), done.output
        assert re.search(told, done.output) or "copy" in command, done.output


def test_a_planner_of_records_that_were_never_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "desk.sqlite").write_bytes(b"")
    done = run("--database", f"sqlite:///{tmp_path}/desk.sqlite", "planner")
    assert (done.exit_code, len(done.output.splitlines())) == (1, 1), done.output
    assert "holds no records yet. Run `python -m desk init` first." in done.output


def test_copy_and_restore_at_the_prompt(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/desk.sqlite"
    assert run("--database", url, "init", "--lead", "lead").exit_code == 0
    assert "read the copy through" in run("--database", url, "backup", tmp_path / "copy").output
    refused = run("--database", url, "restore", tmp_path / "copy")
    assert (refused.exit_code, "--set-aside" in refused.output) == (1, True)
    done = run("--database", url, "restore", tmp_path / "copy", "--set-aside")
    assert (done.exit_code, "What stood there before" in done.output) == (0, True)


def test_records_move_at_the_prompt(tmp_path: Path) -> None:
    run("--database", f"sqlite:///{tmp_path}/one.sqlite", "init", "--lead", "lead")
    done = run("move-records", f"sqlite:///{tmp_path}/one.sqlite", f"sqlite:///{tmp_path}/two.sqlite")
    told = f"Rows moved: 1, in {len(Base.metadata.tables)} tables; each was read again and is the same."
    assert (done.exit_code, done.output) == (0, f"{told}\n")


def test_two_that_make_the_records_at_once_both_succeed(tmp_path: Path) -> None:
    assert_two_at_once(f"sqlite:///{tmp_path}/desk.sqlite")


@pytest.mark.postgres
def test_two_that_make_the_records_at_once_on_a_server(bare_postgres: Database) -> None:
    assert_two_at_once(bare_postgres.engine.url.render_as_string(hide_password=False))


def assert_two_at_once(url: str) -> None:
    command = [sys.executable, "-m", "desk", "--database", url, "init", "--lead", "lead"]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    answers = [one.communicate(timeout=120) for one in both]
    assert [one.returncode for one in both] == [0, 0], answers
    Database(url).check()


def test_a_missing_driver_is_one_line_that_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    done = run("--database", "postgresql+psycopg://desk@127.0.0.1/desk", "init")
    assert (done.exit_code, ".[postgresql]" in done.output, len(done.output.splitlines())) == (1, True, 1)
