"""Tables of what is left over, of what was checked or corrected, and of what went wrong."""

from exports.report import UsageReport
from exports.rows.mishaps import MishapGroup
from exports.sheet import Sheet
from exports.tables.columns import col, cols, racquet_number, share

CARRIED_OVER = Sheet(
    key="carried_over",
    name="Carried over",
    note="Jobs that were open at the end of what is reported.",
    empty="No job is carried over.",
    columns=(
        *cols("text", tag="Tag", player="Player"),
        col("racquet", "Racquet", of=racquet_number),
        col("state", "State"),
        *cols("time", dropped_off_at="Dropped off", needed_by_at="Needed by", promised_at="First promised"),
        col("reason", "Why"),
    ),
    fixed=2,
)

UNCOLLECTED = Sheet(
    key="uncollected",
    name="Uncollected",
    note="Racquets that were strung and still at the desk; waiting in hours and minutes.",
    empty="Every racquet that was strung has been collected.",
    columns=(
        *cols("text", tag="Tag", player="Player"),
        col("racquet", "Racquet", of=racquet_number),
        col("ready_at", "Ready", "time"),
        col("waiting_min", "Waiting, h:mm", "duration"),
        col("note", "Note"),
    ),
    fixed=2,
)

CROSS_CHECKS = Sheet(
    key="cross_checks",
    name="Cross-check",
    note="Each total counted twice from different records. Where they differ, ask the desk before using it.",
    empty="No total was checked.",
    columns=(
        *cols("text", figure="Figure", first_source="Counted from"),
        col("first", "First count", lambda row: row.measure),
        col("second_source", "And from"),
        col("second", "Second count", lambda row: row.measure),
        col(
            "difference",
            "Difference",
            lambda row: row.measure,
            of=lambda row: row.second - row.first,
            alert=lambda row: row.differs,
        ),
        col("verdict", "Verdict", of=lambda row: "differs" if row.differs else "agrees", alert=lambda row: row.differs),
    ),
)

BY: dict[MishapGroup, str] = {"kind": "by kind", "reel": "by reel", "machine": "by machine"}

MISHAPS = Sheet(
    key="mishaps",
    name="Went wrong",
    note="By kind, and the same again by reel (only strings that broke) and by machine (those and wrong tensions). "
    "So far and racquets count from the beginning of the event.",
    empty="Nothing went wrong with a racquet.",
    columns=(
        col("group", "Counted", of=lambda row: BY[row.group]),
        col("name", "What, which"),
        col("noted", "Noted", "count"),
        col("still_open", "Still open", "count", alert=lambda row: row.still_open > 0),
        *cols("count", strung_anew="Strung anew", so_far="So far", racquets="Of racquets"),
        share("share_pct", "Share, %", "so_far", "racquets"),
        col(
            "verdict",
            "Look at",
            of=lambda row: "this string breaks often" if row.often else "",
            alert=lambda row: row.often,
        ),
    ),
    fixed=2,
)


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
            *cols("text", closed_by="By", figure="Figure", signed="As signed", now="Now"),
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
            *cols("text", made_by="By", subject="What", before="Before", after="Now", reason="Why"),
        ),
        rows=report.corrections,
    )
