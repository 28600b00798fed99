"""Tables of string, tensions and machines."""

from exports.report import UsageReport
from exports.rows import CalibrationRow, MaterialRow, ReelRow
from exports.sheet import Sheet
from exports.tables.columns import col, in_unit, per_cent, spoken


def string(report: UsageReport) -> Sheet:
    """What went and what is left of each string."""
    return Sheet(
        key="string",
        name="String",
        note="Sets are counted as sets, half a bed as half a set; what players bring with the racquet is a set. "
        "Values are what the reels and sets cost, by the metre; empty where a price is not "
        "known, and sums are of what is known.",
        empty="No string was used, and none is left.",
        columns=(
            col("string", "String"),
            col("owner", "Whose"),
            col("racquets", "Racquets", "count"),
            col("reel_m", "Off reels, m", "m", total=True),
            col("sets", "Sets", "m", total=True),
            col("reels_opened", "Reels opened", "count", total=True),
            col("sets_opened", "Sets opened", "count", total=True),
            col("waste_m", "Waste, m", "m", total=True),
            col("left_m", "Left on reels, m", "m", total=True),
            col("left_sets", "Sets left", "m", total=True),
            col("opened_minor", "Opened, value", "minor", total=True),
            col("used_minor", "Used, value", "minor", total=True),
            col("waste_minor", "Waste, value", "minor", total=True),
            col("left_minor", "Left, value", "minor", total=True),
            col("without_price", "Without a price"),
        ),
        rows=report.string,
        fixed=2,
    )


def metres_by_pattern(report: UsageReport) -> Sheet:
    """Metres a racquet by pattern."""
    return Sheet(
        key="metres_by_pattern",
        name="Metres by pattern",
        note="Racquets with one string in both halves; hybrids are left out.",
        empty="No such racquet was strung.",
        columns=(
            col("pattern", "Pattern"),
            col("racquets", "Racquets", "count", total=True),
            col("mean_m", "Mean, m", "m"),
            col("least_m", "Fewest, m", "m"),
            col("most_m", "Most, m", "m"),
        ),
        rows=report.metres_by_pattern,
    )


def reels(report: UsageReport) -> Sheet:
    """What went from each reel."""
    return Sheet(
        key="reels",
        name="Reels",
        note="Metres. A closing not measured is the opening less used and waste. A hybrid counts at both its reels.",
        empty="No string was used.",
        columns=(
            col("reel", "Reel"),
            col("string", "String"),
            col("owner", "Owner"),
            col("racquets", "Racquets", "count", total=True),
            col("opening_m", "Opening, m", "m", total=True),
            col("used_m", "Used, m", "m", total=True),
            col("waste_m", "Waste, m", "m", total=True),
            col("closing_m", "Closing, m", "m", total=True),
            col("measured", "Closing measured", "yes"),
            col("unexplained_m", "Unexplained, m", "m", of=_unexplained, alert=_is_unexplained),
            col("m_a_racquet", "A racquet, m", "m", of=_metres_a_racquet),
        ),
        rows=report.reels,
    )


def _unexplained(row: ReelRow) -> float | None:
    """Metres that left the reel and are neither in a racquet nor waste; below zero, too many were booked."""
    gap = row.opening_m - row.used_m - row.waste_m - row.closing_m
    return gap if abs(gap) >= 0.05 else None


def _is_unexplained(row: ReelRow) -> bool:
    """Whether more than a tenth of a metre a racquet is unexplained (common practice: a hand's width each)."""
    return abs(_unexplained(row) or 0.0) > 0.1 * max(row.racquets, 1)


def _metres_a_racquet(row: ReelRow) -> float | None:
    return row.used_m / row.racquets if row.racquets else None


def to_order(report: UsageReport) -> Sheet:
    """What to order."""
    return Sheet(
        key="to_order",
        name="To order",
        note="The desk's own string: for what waits, and for the matches to come of the players still in.",
        empty="Nothing needs to be ordered.",
        columns=(
            col("string", "String"),
            col("on_hand_m", "On hand, m", "m"),
            col("use_per_day_m", "Use a day, m", "m"),
            col("expected_need_m", "Need to the end, m", "m"),
            col("runs_out_on", "Runs out on", "date"),
            col("piece", "Sold by the"),
            col("reel_length_m", "Each, m", "m"),
            col("order_reels", "Order", "count", alert=lambda row: row.order_reels > 0),
            col("note", "Note"),
        ),
        rows=report.to_order,
    )


def tensions(report: UsageReport) -> Sheet:
    """Lowest, mean and highest tension, in both units."""
    columns = [col("group", "Racquets"), col("part", "Part"), col("racquets", "How many", "count")]
    for key, heading in (("lowest", "Lowest"), ("mean", "Mean"), ("highest", "Highest")):
        if key != "mean":
            columns.append(spoken(key, f"{heading}, as spoken"))
        columns += [in_unit(key, heading, "lb"), in_unit(key, heading, "kg")]
    return Sheet(
        key="tensions",
        name="Tensions",
        note="As asked for on the job card, not as measured.",
        empty="No tension was strung.",
        columns=tuple(columns),
        rows=report.tensions,
        fixed=2,
    )


def materials(report: UsageReport) -> Sheet:
    """How many racquets had one material, and how many were hybrids."""
    whole = sum(row.racquets for row in report.materials)

    def part(row: MaterialRow) -> float | None:
        return per_cent(row.racquets, whole)

    return Sheet(
        key="materials",
        name="Materials",
        note="A hybrid has two different strings; it is always two-piece.",
        empty="No racquet was strung.",
        columns=(
            col("mains", "Mains"),
            col("crosses", "Crosses"),
            col("hybrid", "Hybrid", "yes"),
            col("racquets", "Racquets", "count", total=True),
            col("share_pct", "Share, %", "pct", of=part),
            col("players", "Players", "count"),
            col("string_m", "String, m", "m", total=True),
        ),
        rows=report.materials,
        fixed=2,
    )


def calibration(report: UsageReport) -> Sheet:
    """Every reading of every machine."""
    return Sheet(
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
            col("verdict", "Within", of=_verdict, alert=lambda row: not row.within),
            col("action", "Done"),
        ),
        rows=report.calibration,
    )


def _verdict(row: CalibrationRow) -> str:
    return "within" if row.within else "outside"
