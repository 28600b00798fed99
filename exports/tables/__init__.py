"""The tables of a usage report, in the order in which an organiser asks for them."""

from dataclasses import replace

from exports.report import UsageReport
from exports.sheet import Line, Sheet
from exports.tables.comparison import comparison
from exports.tables.jobs import jobs, needed_by, on_time, time_on_bench
from exports.tables.leftovers import carried_over, corrections, cross_checks, signed_before, uncollected
from exports.tables.mishaps import mishaps
from exports.tables.money import charges, invoices, money, prize_money, taxes
from exports.tables.stock import calibration, materials, metres_by_pattern, reels, string, tensions, to_order
from exports.tables.summary import summary
from exports.tables.throughput import by_day, by_hour, by_hour_of_day, by_machine, by_stringer, team

CHECKS = "cross_checks"
FIRST = (summary, comparison, by_hour)
SEVERAL_DAYS = (summary, comparison, by_day, by_hour_of_day, by_hour)
REST = (
    by_stringer,
    team,
    by_machine,
    on_time,
    needed_by,
    time_on_bench,
    jobs,
    string,
    to_order,
    metres_by_pattern,
    reels,
    tensions,
    materials,
    money,
    taxes,
    charges,
    invoices,
    prize_money,
    calibration,
    mishaps,
    carried_over,
    uncollected,
    cross_checks,
    signed_before,
    corrections,
)


def tables(report: UsageReport) -> tuple[Sheet, ...]:
    """Return the tables of a report; one of several days has two more, by day and by hour of the day."""
    first = SEVERAL_DAYS if len(report.days) > 1 else FIRST
    made = [table(report) for table in first + REST]
    empty = ", ".join(sheet.name for sheet in made if not sheet.rows)
    line = Line(text=f"Without a line, and so without a sheet: {empty}.")
    return tuple(replace(one, lines=(*one.lines, line)) if empty and one.key == CHECKS else one for one in made)
