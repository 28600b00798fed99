"""Tables of the jobs, their needed-by times, and their time on the bench."""

from dataclasses import dataclass

from exports.report import UsageReport
from exports.sheet import Chart, Sheet
from exports.tables.columns import col, cols, in_units, racquet_number, spoken


def jobs(report: UsageReport) -> Sheet:
    """Every job."""
    late = {row.tag for row in report.needed_by if row.outcome == "late"}
    return Sheet(
        key="jobs",
        name="Jobs",
        note="Every job. What stands right of the metres is not printed.",
        empty="No job was taken in.",
        columns=(
            *cols("text", tag="Tag", player="Player"),
            col("racquet", "Racquet", of=racquet_number),
            col("state", "State"),
            col("on_court", "On court", "yes"),
            *cols("time", dropped_off_at="Dropped off", needed_by_at="Needed by"),
            col("ready_at", "Ready", "time", alert=lambda row: row.tag in late),
            col("bench_min", "Bench, h:mm", "duration"),
            *cols("text", stringer="Stringer", mains="Mains"),
            spoken("mains_tension", "Mains tension"),
            col("crosses", "Crosses"),
            spoken("crosses_tension", "Crosses tension"),
            col("string_m", "String, m", "m", total=True),
            col("charge_minor", "Charge", "minor", total=True, printed=False),
            col("promised_at", "First promised", "time", printed=False),
            col("machine", "Machine", printed=False),
            *cols("time", printed=False, started_at="Started", handed_over_at="Handed over"),
            col("knots", "Knots", "count", printed=False),
            *in_units("mains_tension", "Mains", printed=False),
            *in_units("crosses_tension", "Crosses", printed=False),
            col("mains_pre_stretch_pct", "Pre-stretch mains, %", "pct", printed=False),
            col("crosses_pre_stretch_pct", "Pre-stretch crosses, %", "pct", printed=False),
            *cols("text", printed=False, redo_of="Redo of", note="Note"),
        ),
        rows=report.jobs,
        filtered=True,
        fixed=2,
    )


NEEDED_BY = Sheet(
    key="needed_by",
    name="Needed by",
    note="Spare is the time left when the racquet was strung and checked. Tight is before the player could be "
    "called, late after it. One whose match was played without it was needed before that match, and stays so.",
    empty="No racquet was needed by a time.",
    columns=(
        *cols("text", tag="Tag", player="Player", needed_for="Needed for"),
        *cols("time", needed_by_at="Needed by", promised_at="First promised", ready_at="Ready"),
        col("spare_min", "Spare, min", "spare", alert=lambda row: (row.spare_min or 0) < 0),
        col(
            "promise_spare_min", "Before the promise, min", "spare", alert=lambda row: (row.promise_spare_min or 0) < 0
        ),
        col("outcome", "Outcome", alert=lambda row: row.outcome in ("late", "not strung")),
        col("match_begun", "Match begun", "yes"),
        col("reason", "Why"),
    ),
    filtered=True,
    fixed=2,
)

TIME_ON_BENCH = Sheet(
    key="time_on_bench",
    name="Time on the bench",
    note="From the racquet going on the machine to strung and checked; hours and minutes.",
    empty="No racquet was strung.",
    columns=(
        *cols("text", tag="Tag", player="Player", stringer="Stringer", machine="Machine", work="Work"),
        col("started_at", "Started", "time"),
        *cols("duration", bench_min="Bench, h:mm", target_min="Target, h:mm"),
        col(
            "over_min",
            "Over target, min",
            "spare",
            of=lambda row: row.bench_min - row.target_min if row.bench_min > row.target_min else None,
            alert=lambda row: row.bench_min > row.target_min,
        ),
    ),
    filtered=True,
    fixed=2,
)


@dataclass(frozen=True, kw_only=True)
class _Band:
    """How many racquets were ready within one span before or after their needed-by time."""

    band: str
    on_time: int | None
    late: int | None


EARLY = (
    (60, "more than an hour before"),
    (30, "30 to 60 min before"),
    (10, "10 to 30 min before"),
    (0, "up to 10 min before"),
)
"""Least spare minutes of each band of the racquets that were on time."""

LATE = ("up to 5 min late", "5 to 15 min late", "15 to 30 min late", "more than 30 min late", "not strung")
"""A player not ready 10 minutes after being called is fined, after 15 defaulted
(Grand Slam Rule Book 2014, Code of Conduct, Art. III B)."""


def on_time(report: UsageReport) -> Sheet:
    """How long before or after the needed-by time the racquets were ready."""
    title = "Ready before they were needed, and after"
    return Sheet(
        key="on_time",
        name="On time",
        note="Racquets that were needed, by the time left when they were ready; those that were never strung too.",
        empty="No racquet was needed by a time.",
        columns=(
            col("band", "Ready"),
            col("on_time", "On time", "count", total=True),
            col("late", "Late", "count", total=True, alert=lambda row: bool(row.late)),
        ),
        rows=_bands(report),
        charts=(Chart(title=title, along="band", values=("on_time", "late"), lying=True, beside=True),),
    )


def _bands(report: UsageReport) -> list[_Band]:
    s = report.summary
    if not s.with_needed_by:
        return []
    counts = [0] * len(EARLY)
    for row in report.needed_by:
        if row.outcome == "on time" and row.spare_min is not None:
            counts[next(number for number, (least, _) in enumerate(EARLY) if row.spare_min >= least)] += 1
    late = (s.late_up_to_5, s.late_up_to_15, s.late_up_to_30, s.late_more, s.needed_not_strung)
    return [
        *(_Band(band=name, on_time=count, late=None) for (_, name), count in zip(EARLY, counts, strict=True)),
        _Band(band="tight", on_time=s.tight, late=None),
        *(_Band(band=name, on_time=None, late=count) for name, count in zip(LATE, late, strict=True)),
    ]
