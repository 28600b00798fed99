"""The one line that tells how far a played event is."""

from datetime import UTC, datetime, timedelta

from desk.cli.day_progress import DayProgress

START = datetime(2031, 5, 12, 8, tzinfo=UTC)


def test_share_time_left_and_late_racquets_stand_in_one_line() -> None:
    real = [0.0]
    progress = DayProgress([START + timedelta(hours=hour) for hour in range(4)], now=lambda: real[0])
    assert progress.line(START - timedelta(minutes=1), "Mon 07:59", lambda: 0).strip() == (
        "Mon 07:59    0% of the racquets, just begun, 0 late"
    )
    real[0] = 0.5
    assert progress.line(START, "Mon 08:00", lambda: 0) is None
    real[0] = 30.0
    line = progress.line(START + timedelta(hours=0, minutes=30), "Mon 08:30", lambda: 3)
    assert line.strip() == "Mon 08:30   25% of the racquets, 90 s left, 3 late"
    real[0] = 600.0
    line = progress.line(START + timedelta(hours=1), "Mon 09:00", lambda: 3)
    assert line.strip() == "Mon 09:00   50% of the racquets, 10 min left, 3 late"


def test_an_event_without_racquets_is_told_too() -> None:
    assert "just begun" in DayProgress([]).line(START, "Mon 08:00", lambda: 0)
