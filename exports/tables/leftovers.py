"""Tables of what is left over, and of what was checked or corrected."""

from exports.report import UsageReport
from exports.rows import CrossCheckRow
from exports.sheet import Sheet
from exports.tables.columns import col, racquet_number


def carried_over(report: UsageReport) -> Sheet:
    """The jobs that are open."""
    return Sheet(
        key="carried_over",
        name="Carried over",
        note="Jobs that were open at the end of what is reported.",
        empty="No job is carried over.",
        columns=(
            col("tag", "Tag"),
            col("player", "Player"),
            col("racquet", "Racquet", of=racquet_number),
            col("state", "State"),
            col("dropped_off_at", "Dropped off", "time"),
            col("needed_by_at", "Needed by", "time"),
            col("promised_at", "Promised", "time"),
            col("reason", "Why"),
        ),
        rows=report.carried_over,
        fixed=2,
    )


def uncollected(report: UsageReport) -> Sheet:
    """What is strung and still at the desk."""
    return Sheet(
        key="uncollected",
        name="Uncollected",
        note="Racquets that were strung and still at the desk; waiting in hours and minutes.",
        empty="Every racquet that was strung has been collected.",
        columns=(
            col("tag", "Tag"),
            col("player", "Player"),
            col("racquet", "Racquet", of=racquet_number),
            col("ready_at", "Ready", "time"),
            col("waiting_min", "Waiting, h:mm", "duration"),
            col("note", "Note"),
        ),
        rows=report.uncollected,
        fixed=2,
    )


def cross_checks(report: UsageReport) -> Sheet:
    """Each total, counted twice."""
    return Sheet(
        key="cross_checks",
        name="Cross-check",
        note="Each total counted twice from different records. Where they differ, ask the desk before using it.",
        empty="No total was checked.",
        columns=(
            col("figure", "Figure"),
            col("first_source", "Counted from"),
            col("first", "First count", lambda row: row.measure),
            col("second_source", "And from"),
            col("second", "Second count", lambda row: row.measure),
            col("difference", "Difference", lambda row: row.measure, of=_difference, alert=_differs),
            col("verdict", "Verdict", of=_verdict, alert=_differs),
        ),
        rows=report.cross_checks,
    )


def _differs(row: CrossCheckRow) -> bool:
    return row.differs


def _difference(row: CrossCheckRow) -> float:
    return row.second - row.first


def _verdict(row: CrossCheckRow) -> str:
    return "differs" if row.differs else "agrees"


def signed_before(report: UsageReport) -> Sheet:
    """What differs from a sheet that was signed before the day was opened again."""
    return Sheet(
        key="signed_before",
        name="Signed before",
        note="A day was opened again after it had been signed: each figure that differs, line by line.",
        empty="No figure differs from what was signed first." if report.reopenings else "No day was opened again.",
        columns=(
            col("day", "Day", "date"),
            col("closed_at", "Signed", "time"),
            col("closed_by", "By"),
            col("figure", "Figure"),
            col("signed", "As signed"),
            col("now", "Now"),
        ),
        rows=report.signed_before,
    )


def corrections(report: UsageReport) -> Sheet:
    """What was changed after closing."""
    return Sheet(
        key="corrections",
        name="Corrections",
        note="A closed day changes only by a noted correction; the figures of this workbook include it.",
        empty="Nothing was corrected after closing." if report.closed else "The day is not closed yet.",
        columns=(
            col("made_at", "Noted", "time"),
            col("made_by", "By"),
            col("subject", "What"),
            col("before", "Before"),
            col("after", "Now"),
            col("reason", "Why"),
        ),
        rows=report.corrections,
    )
