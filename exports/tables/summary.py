"""The first page: the figures asked first in words and numbers, how far to trust them, and what grew and slipped."""

from exports.report import UsageReport
from exports.sheet import Line, Sheet
from exports.summary import checked, figures, status
from exports.tables.columns import col
from exports.tables.comparison import sentences


def summary(report: UsageReport) -> Sheet:
    """The figures asked first, on one page that is read standing."""
    differs = any(row.differs for row in report.cross_checks)
    return Sheet(
        key="summary",
        name="Summary",
        title=report.event_name,
        note=", ".join(part for part in (report.town, report.title) if part),
        lines=(
            Line(text=status(report), alert=bool(report.corrections) or not report.closed),
            Line(text=checked(report), alert=differs),
            *(Line(text=text, alert=slipped, large=True) for text, slipped in sentences(report)),
        ),
        empty="",
        columns=(
            col("label", "Figure"),
            col("value", "Value", lambda row: row.measure, strong=True),
            col("in_words", "In words", alert=lambda row: row.alert),
            col("of", "Of", "count", printed=False),
            col("share_pct", "Share, %", "pct", printed=False),
            col("defined", "What it counts", printed=False),
        ),
        rows=figures(report),
        large=True,
    )
