"""The figures that an organiser asks first, in words and numbers."""

from exports.report import UsageReport
from exports.summary.balance import balance, left
from exports.summary.figure import Figure
from exports.summary.punctual import kept, times
from exports.summary.said import checked, counted, day_text, moment, status
from exports.summary.supplies import supplies

__all__ = ["Figure", "checked", "counted", "day_text", "figures", "moment", "status"]


def figures(report: UsageReport) -> tuple[Figure, ...]:
    """Return the figures of the summary, in the order in which they are asked."""
    return (*kept(report), *times(report), *supplies(report), *balance(report), *left(report))
