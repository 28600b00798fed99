"""Tables of string, tensions and machines."""

from exports.report import UsageReport
from exports.rows.stock import ReelRow
from exports.sheet import Sheet
from exports.tables.columns import col, cols, in_units, per_cent, spoken

STRING = Sheet(
    key="string",
    name="String",
    note="Sets are counted as sets, half a bed as half a set; what players bring with the racquet is a set. "
    "Values are what the reels and sets cost, by the metre; empty where a price is not "
    "known, and sums are of what is known.",
    empty="No string was used, and none is left.",
    columns=(
        *cols("text", string="String", owner="Whose"),
        col("racquets", "Racquets", "count"),
        *cols("m", total=True, reel_m="Off reels, m", sets="Sets"),
        *cols("count", total=True, reels_opened="Reels opened", sets_opened="Sets opened"),
        *cols("m", total=True, waste_m="Waste, m", left_m="Left on reels, m", left_sets="Sets left"),
        *cols("minor", total=True, opened_minor="Opened, value", used_minor="Used, value"),
        *cols("minor", total=True, waste_minor="Waste, value", left_minor="Left, value"),
        col("without_price", "Without a price"),
    ),
    fixed=2,
)

METRES_BY_PATTERN = Sheet(
    key="metres_by_pattern",
    name="Metres by pattern",
    note="Racquets with one string in both halves; hybrids are left out.",
    empty="No such racquet was strung.",
    columns=(
        col("pattern", "Pattern"),
        col("racquets", "Racquets", "count", total=True),
        *cols("m", mean_m="Mean, m", least_m="Fewest, m", most_m="Most, m"),
    ),
)


def _unexplained(row: ReelRow) -> float | None:
    """Metres that left the reel and are neither in a racquet nor waste; below zero, too many were booked."""
    gap = row.opening_m - row.used_m - row.waste_m - row.closing_m
    return gap if abs(gap) >= 0.05 else None


def _is_unexplained(row: ReelRow) -> bool:
    """Whether more than a tenth of a metre a racquet is unexplained (common practice: a hand's width each)."""
    return abs(_unexplained(row) or 0.0) > 0.1 * max(row.racquets, 1)


REELS = Sheet(
    key="reels",
    name="Reels",
    note="Metres. A closing not measured is the opening less used and waste. A hybrid counts at both its reels.",
    empty="No string was used.",
    columns=(
        *cols("text", reel="Reel", string="String", owner="Owner"),
        col("racquets", "Racquets", "count", total=True),
        *cols("m", total=True, opening_m="Opening, m", used_m="Used, m", waste_m="Waste, m", closing_m="Closing, m"),
        col("measured", "Closing measured", "yes"),
        col("unexplained_m", "Unexplained, m", "m", of=_unexplained, alert=_is_unexplained),
        col("m_a_racquet", "A racquet, m", "m", of=lambda row: row.used_m / row.racquets if row.racquets else None),
    ),
)

TO_ORDER = Sheet(
    key="to_order",
    name="To order",
    note="The desk's own string: for what waits, and for the matches to come of the players still in.",
    empty="Nothing needs to be ordered.",
    columns=(
        col("string", "String"),
        *cols("m", on_hand_m="On hand, m", use_per_day_m="Use a day, m", expected_need_m="Need to the end, m"),
        col("runs_out_on", "Runs out on", "date"),
        col("piece", "Sold by the"),
        col("reel_length_m", "Each, m", "m"),
        col("order_reels", "Order", "count", alert=lambda row: row.order_reels > 0),
        col("note", "Note"),
    ),
)

TENSIONS = Sheet(
    key="tensions",
    name="Tensions",
    note="As asked for on the job card, not as measured.",
    empty="No tension was strung.",
    columns=(
        *cols("text", group="Racquets", part="Part"),
        col("racquets", "How many", "count"),
        spoken("lowest", "Lowest, as spoken"),
        *in_units("lowest", "Lowest"),
        *in_units("mean", "Mean"),
        spoken("highest", "Highest, as spoken"),
        *in_units("highest", "Highest"),
    ),
    fixed=2,
)


def materials(report: UsageReport) -> Sheet:
    """How many racquets had one material, and how many were hybrids."""
    whole = sum(row.racquets for row in report.materials)
    return Sheet(
        key="materials",
        name="Materials",
        note="A hybrid has two different strings; it is always two-piece.",
        empty="No racquet was strung.",
        columns=(
            *cols("text", mains="Mains", crosses="Crosses"),
            col("hybrid", "Hybrid", "yes"),
            col("racquets", "Racquets", "count", total=True),
            col("share_pct", "Share, %", "pct", of=lambda row: per_cent(row.racquets, whole)),
            col("players", "Players", "count"),
            col("string_m", "String, m", "m", total=True),
        ),
        rows=report.materials,
        fixed=2,
    )


CALIBRATION = Sheet(
    key="calibration",
    name="Calibration",
    note="A machine outside the tolerance is out of service until it is put right as its maker's manual says.",
    empty="No machine was calibrated.",
    columns=(
        col("machine", "Machine"),
        col("read_at", "Read", "time"),
        col("read_by", "By"),
        spoken("asked", "Asked"),
        spoken("measured", "Measured"),
        col("difference_lb", "Difference, lb", "tension", of=lambda row: row.measured.lb - row.asked.lb),
        col("difference_kg", "Difference, kg", "tension", of=lambda row: row.measured.kg - row.asked.kg),
        spoken("tolerance", "Allowed either way"),
        col(
            "verdict", "Within", of=lambda row: "within" if row.within else "outside", alert=lambda row: not row.within
        ),
        col("action", "Done"),
    ),
)
