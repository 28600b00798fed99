"""Long work says that it goes on."""

import time

import pytest

from desk.cli.progress import said_while


def test_work_that_takes_long_says_so_and_short_work_does_not(capsys: pytest.CaptureFixture) -> None:
    with said_while("Compiling", every_seconds=60):
        pass
    assert capsys.readouterr().err == ""
    with said_while("Compiling", every_seconds=0.02):
        time.sleep(0.3)
    assert capsys.readouterr().err.startswith("Compiling: 0 s so far.\n")
