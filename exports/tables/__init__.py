"""The tables of a usage report, in the order in which an organiser asks for them."""

from collections.abc import Callable
from dataclasses import replace

from exports.report import UsageReport
from exports.sheet import Line, Sheet
from exports.tables import jobs, leftovers, money, stock, throughput
from exports.tables.comparison import comparison
from exports.tables.summary import summary

Table = Sheet | Callable[[UsageReport], Sheet]
"""A sheet whose rows are the field of the report by its key, or what makes one of the report."""

FIRST: tuple[Table, ...] = (summary, comparison, throughput.by_hour)
SEVERAL_DAYS: tuple[Table, ...] = (
    *(summary, comparison, throughput.BY_DAY),
    *(throughput.by_hour_of_day, throughput.by_hour),
)
REST: tuple[Table, ...] = (
    *(throughput.BY_STRINGER, throughput.TEAM, throughput.BY_MACHINE),
    *(jobs.on_time, jobs.NEEDED_BY, jobs.TIME_ON_BENCH, jobs.jobs),
    *(stock.STRING, stock.TO_ORDER, stock.METRES_BY_PATTERN, stock.REELS, stock.TENSIONS, stock.materials),
    *(money.money, money.taxes, money.charges, money.INVOICES, money.prize_money),
    *(stock.CALIBRATION, leftovers.MISHAPS, leftovers.CARRIED_OVER, leftovers.UNCOLLECTED),
    *(leftovers.CROSS_CHECKS, leftovers.signed_before, leftovers.corrections),
)


def tables(report: UsageReport) -> tuple[Sheet, ...]:
    """Return the tables of a report; one of several days has two more, by day and by hour of the day."""
    first = SEVERAL_DAYS if len(report.days) > 1 else FIRST
    made = [_filled(table, report) for table in first + REST]
    empty = ", ".join(sheet.name for sheet in made if not sheet.rows)
    line = Line(text=f"Without a line, and so without a sheet: {empty}.")
    checks = leftovers.CROSS_CHECKS.key
    return tuple(replace(one, lines=(*one.lines, line)) if empty and one.key == checks else one for one in made)


def _filled(table: Table, report: UsageReport) -> Sheet:
    return replace(table, rows=getattr(report, table.key)) if isinstance(table, Sheet) else table(report)
