"""Tables of what was strung, by hour, day, stringer and machine."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from exports.report import UsageReport
from exports.rows.work import HourRow
from exports.sheet import Chart, Column, Sheet
from exports.tables.columns import col, cols, share, the_day

NOTHING_STRUNG = "No racquet was strung."


@dataclass(frozen=True, kw_only=True)
class _Hour(HourRow):
    """One hour with the name that tells it from its neighbours."""

    day: date
    hour: str


@dataclass(frozen=True, kw_only=True)
class _HourOfDay:
    hour: str
    dropped_off: int
    strung: int
    handed_over: int
    on_court: int
    strung_a_day: float


_OF_HOUR: tuple[Column, ...] = (
    col("hour", "Hour from"),
    *cols("count", total=True, dropped_off="Dropped off", strung="Strung", handed_over="Handed over"),
    col("on_court", "On court", "count", total=True),
)


def by_hour(report: UsageReport) -> Sheet:
    """What went through the desk hour by hour."""
    one_day = len(report.days) == 1
    chart = Chart(title="Racquets strung, by the hour", along="hour", values=("strung",), beside=True)
    return Sheet(
        key="throughput_by_hour",
        name="By hour",
        note="Racquets an hour, in the event's own time.",
        empty="Nothing went through the desk.",
        columns=_OF_HOUR if one_day else (col("day", "Day", "date"), *_OF_HOUR),
        rows=_named_hours(report.throughput_by_hour),
        charts=(chart,) if one_day else (),
        fixed=1 if one_day else 2,
    )


def by_hour_of_day(report: UsageReport) -> Sheet:
    """The hours of all days added up, for a report of several days."""
    return Sheet(
        key="throughput_by_hour_of_day",
        name="By hour of the day",
        note=f"The same hour of all {len(report.days)} days together.",
        empty="Nothing went through the desk.",
        columns=(*_OF_HOUR, col("strung_a_day", "Strung, mean a day", "m")),
        rows=_hours_of_day(report),
        charts=(Chart(title="Racquets strung, by hour of the day", along="hour", values=("strung",), beside=True),),
    )


def _named_hours(rows: tuple[HourRow, ...]) -> list[_Hour]:
    starts = [row.from_at for row in rows]
    return [
        _Hour(
            **vars(row),
            day=row.from_at.date(),
            hour=f"{row.from_at:%H} h" + (_offset(row) if starts.count(row.from_at) > 1 else ""),
        )
        for row in rows
    ]


def _offset(row: HourRow) -> str:
    hours, minutes = divmod(abs(row.utc_offset_min), 60)
    return f" (UTC{'-' if row.utc_offset_min < 0 else '+'}{hours}" + (f":{minutes:02})" if minutes else ")")


def _hours_of_day(report: UsageReport) -> list[_HourOfDay]:
    groups: dict[int, list[HourRow]] = defaultdict(list)
    for row in report.throughput_by_hour:
        groups[row.from_at.hour].append(row)
    return [
        _HourOfDay(
            hour=f"{hour:02} h",
            dropped_off=sum(row.dropped_off for row in rows),
            strung=sum(row.strung for row in rows),
            handed_over=sum(row.handed_over for row in rows),
            on_court=sum(row.on_court for row in rows),
            strung_a_day=sum(row.strung for row in rows) / len(report.days),
        )
        for hour, rows in sorted(groups.items())
    ]


BY_DAY = Sheet(
    key="throughput_by_day",
    name="By day",
    note="Each day on its own; a day that is not closed may still change.",
    empty=NOTHING_STRUNG,
    columns=(
        the_day(),
        col("racquets", "Racquets", "count", total=True),
        col("players", "Players", "count"),
        *cols("count", total=True, with_needed_by="Needed by a time", on_time="On time"),
        share("on_time_pct", "On time, %", "on_time", "with_needed_by"),
        *cols("count", total=True, tight="Tight", late_up_to_5="Late, up to 5 min", late_up_to_15="5 to 15"),
        *cols("count", total=True, late_up_to_30="15 to 30", late_more="more", needed_not_strung="Not strung"),
        *cols("count", total=True, late_match_begun="Match begun", promises_made="Promises", promises_kept="Kept"),
        share("kept_pct", "Kept, %", "promises_kept", "promises_made"),
        col("on_court", "On court", "count", total=True),
        col("on_court_mean_min", "On court, mean min", "min"),
        col("string_m", "String, m", "m", total=True),
        col("redo", "Redo", "count", total=True),
        col("closed", "Closed", "yes"),
    ),
    charts=(Chart(title="Racquets strung, by day", along="day", values=("racquets",)),),
)

BY_STRINGER = Sheet(
    key="throughput_by_stringer",
    name="By stringer",
    note="Busy is the time with a racquet on the machine; hours and minutes.",
    empty=NOTHING_STRUNG,
    columns=(
        col("stringer", "Stringer"),
        col("racquets", "Racquets", "count", total=True),
        col("players", "Players", "count"),
        col("on_court", "On court", "count", total=True),
        *cols("duration", total=True, at_work_min="At work, h:mm", busy_min="Busy, h:mm"),
        col("bench_mean_min", "Mean on the bench, min", "min"),
        *cols("count", total=True, within_target="Within target", with_needed_by="Needed by a time", on_time="On time"),
        share("on_time_pct", "On time, %", "on_time", "with_needed_by"),
        col("redo", "Redo", "count", total=True),
        col("string_m", "String, m", "m", total=True),
    ),
    charts=(Chart(title="Racquets strung, by stringer", along="stringer", values=("racquets",), lying=True),),
)


TEAM = Sheet(
    key="team",
    name="Team",
    note="The basis for pay: the rate, where one is set, times racquets or hours on shift. Breaks are left out.",
    empty="Nobody was at work.",
    columns=(
        the_day(),
        col("stringer", "Stringer"),
        *cols("count", total=True, racquets="Racquets", on_court="On court"),
        *cols("duration", total=True, busy_min="At the bench, h:mm", at_work_min="On shift, h:mm"),
        col("bench_mean_min", "Mean on the bench, min", "min"),
        col(
            "an_hour",
            "Racquets an hour on shift",
            "m",
            of=lambda row: 60 * row.racquets / row.at_work_min if row.at_work_min else None,
        ),
        col("rate_minor", "Rate", "minor"),
        col("rate_per", "a", of=lambda row: row.rate_per if row.rate_minor is not None else None),
        col("pay_minor", "Pay", "minor", total=True),
    ),
    fixed=2,
)

BY_MACHINE = Sheet(
    key="throughput_by_machine",
    name="By machine",
    note="Busy is the time with a racquet on the machine; hours and minutes.",
    empty=NOTHING_STRUNG,
    columns=(
        col("machine", "Machine"),
        *cols("count", total=True, racquets="Racquets", on_court="On court"),
        col("busy_min", "Busy, h:mm", "duration", total=True),
        col("bench_mean_min", "Mean on the bench, min", "min"),
        col(
            "out_of_service_min",
            "Out of service, h:mm",
            "duration",
            total=True,
            alert=lambda row: row.out_of_service_min > 0,
        ),
        col("stringers", "Stringers", "count"),
    ),
    charts=(Chart(title="Racquets strung, by machine", along="machine", values=("racquets",), lying=True),),
)
