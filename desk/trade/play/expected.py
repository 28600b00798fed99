"""What is only expected: planned with, but no fact until somebody says so.

A machine is expected back at 16:00, a stringer at 14:00, play at 15:30. While nobody says that it is back, the
expectation moves on by a quarter of an hour each time it passes (our own step), and what that makes late is shown.
"""

from datetime import datetime, timedelta

AGAIN = timedelta(minutes=15)


def still_expected(expected_at: datetime | None, at: datetime) -> datetime | None:
    """When it is counted with, as seen at AT: as expected, or the next quarter of an hour after it has passed."""
    if expected_at is None or expected_at > at:
        return expected_at
    return expected_at + ((at - expected_at) // AGAIN + 1) * AGAIN


def moved_on_at(expected_at: datetime, at: datetime) -> datetime | None:
    """When an expectation moved on last, up to AT; None while it has not passed."""
    return None if expected_at > at else expected_at + ((at - expected_at) // AGAIN) * AGAIN
