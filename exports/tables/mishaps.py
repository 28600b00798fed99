"""The table of what went wrong."""

from exports.report import UsageReport
from exports.rows import MishapGroup, MishapRow
from exports.sheet import Sheet
from exports.tables.columns import col, share

BY: dict[MishapGroup, str] = {"kind": "by kind", "reel": "by reel", "machine": "by machine"}


def mishaps(report: UsageReport) -> Sheet:
    """What went wrong with racquets: by kind, by reel and by machine."""
    return Sheet(
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
            col("strung_anew", "Strung anew", "count"),
            col("so_far", "So far", "count"),
            col("racquets", "Of racquets", "count"),
            share("share_pct", "Share, %", "so_far", "racquets"),
            col("verdict", "Look at", of=_verdict, alert=lambda row: row.often),
        ),
        rows=report.mishaps,
        fixed=2,
    )


def _verdict(row: MishapRow) -> str:
    return "this string breaks often" if row.often else ""
