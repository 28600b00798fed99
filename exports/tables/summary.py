"""The first page: the figures asked first, how far to trust them, and two charts."""

from exports.report import UsageReport
from exports.sheet import Chart, Line, Sheet
from exports.summary import checked, figures, status
from exports.tables.columns import col


def summary(report: UsageReport) -> Sheet:
    """The figures asked first, on one page."""
    differs = any(row.differs for row in report.cross_checks)
    return Sheet(
        key="summary",
        name="Summary",
        title=report.event_name,
        note=", ".join(part for part in (report.town, report.title) if part),
        lines=(
            Line(text=status(report), alert=bool(report.corrections) or not report.closed),
            Line(text=checked(report), alert=differs),
        ),
        empty="",
        columns=(
            col("label", "Figure"),
            col("value", "Value", lambda row: row.measure, strong=True),
            col("of", "Of", "count"),
            col("share_pct", "Share, %", "pct", alert=lambda row: row.alert),
            col("note", "Note", alert=lambda row: row.alert),
        ),
        rows=figures(report),
        charts=_charts(report),
        large=True,
    )


def _charts(report: UsageReport) -> tuple[Chart, ...]:
    if len(report.days) > 1:
        source = ("throughput_by_day", "day", "racquets", "Racquets strung, by day")
    else:
        source = ("throughput_by_hour", "hour", "strung", "Racquets strung, by the hour")
    sheet, along, value, title = source
    return (
        Chart(title=title, along=along, values=(value,), sheet=sheet, beside=True),
        Chart(
            title="Ready before they were needed, and after",
            along="band",
            values=("on_time", "late"),
            lying=True,
            sheet="on_time",
            beside=True,
        ),
    )
