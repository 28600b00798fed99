"""The demo's records are its own, and its progress is one line."""

import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.cli.progress import ProgressLine


def test_the_demo_takes_no_other_records() -> None:
    result = CliRunner().invoke(main, ["--database", "sqlite:///mine.sqlite", "demo"])
    assert result.exit_code == 2
    assert "takes no --database" in result.output


def test_progress_is_one_line_with_share_and_time_left(monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []
    monkeypatch.setattr("desk.cli.progress.click.echo", lambda text, **_: written.append(text))
    monkeypatch.setattr("desk.cli.progress.time.monotonic", iter([0.0, 30.0, 60.0, 60.5]).__next__)
    line = ProgressLine("Playing")
    line._watched = True
    line.show(0.25, "Mon 09:00")
    line.show(0.5)
    assert not line.is_due
    assert [text.rstrip() for text in written] == ["\rPlaying: 25%, Mon 09:00, 2 min left", "\rPlaying: 50%, 60 s left"]
