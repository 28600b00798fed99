"""One usage report: a day of an event, or the event so far."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from math import isfinite
from typing import Annotated, Any

from exports.errors import ReportError
from exports.rows import checks, money, stock, work
from exports.rows import jobs as job
from exports.rows import mishaps as mishap


@dataclass(frozen=True, kw_only=True)
class Summary:
    """The figures that are asked first."""

    racquets_strung: Annotated[int, "racquets finished, each redo counted"]
    players_served: Annotated[int, "players with a racquet finished"]
    with_needed_by: Annotated[int, work.NEEDED]
    on_time: Annotated[int, "of those, strung and checked by then"]
    tight: Annotated[int, "of those, ready after they were needed and before the player could be called"]
    late_up_to_5: Annotated[int, "of those, ready up to 5 minutes after the player could be called"]
    late_up_to_15: Annotated[int, "of those, more than 5 and up to 15 minutes after that"]
    late_up_to_30: Annotated[int, "of those, more than 15 and up to 30 minutes after that"]
    late_more: Annotated[int, "of those, more than 30 minutes after that"]
    needed_not_strung: Annotated[int, "of those, not strung when the report ends, or given back unstrung"]
    late_match_begun: Annotated[int, "late or not strung, and the match had begun when it was ready or the report ends"]
    promises_made: Annotated[int, work.PROMISED]
    promises_kept: Annotated[int, "of those, strung and checked by the time told first"]
    promised_not_strung: Annotated[int, "of those, not strung when the report ends, or given back unstrung"]
    on_court: Annotated[int, "racquets from a match in play"]
    on_court_mean_min: Annotated[float | None, "their mean time from drop-off to ready"]
    string_m: Annotated[float, "string in the racquets"]
    waste_m: Annotated[float, "string cut off or spoiled"]
    redo: Annotated[int, "racquets strung again because of the desk"]
    carried_over: Annotated[int, "jobs open at the end"]
    cancelled: Annotated[int, "jobs cancelled"]
    uncollected: Annotated[int, "racquets strung and still at the desk"]
    bench_mean_min: Annotated[float | None, "mean time on the bench, from the machine to strung and checked"]
    ready_mean_min: Annotated[float | None, "mean time from drop-off to strung and checked, nights among it"]
    target_min: Annotated[float, "time target"]
    within_target: Annotated[int, "racquets finished within it"]
    stringers: Annotated[int, "stringers who strung"]
    machines: Annotated[int, "machines used"]
    brought_forward_minor: Annotated[int, "open when the report begins; below zero is owed to players"]
    charged_minor: Annotated[int, "charged, tax within, corrections with their sign"]
    tax_minor: Annotated[int, "of what was charged, tax"]
    received_minor: Annotated[int, "received by every way, whichever charges it settled; refunds not taken off"]
    refunded_minor: Annotated[int, "paid back to players"]
    written_off_minor: Annotated[int, "owed and given up"]
    carried_forward_minor: Annotated[int, "open when the report ends; below zero is owed to players"]
    promises_changed: Annotated[int, "racquets finished whose promise was changed after it was told"] = 0
    mishaps: Annotated[int, "noted that something went wrong with a racquet, each once"] = 0


@dataclass(frozen=True, kw_only=True)
class UsageReport:
    """Everything that the usage sheet of a day, or of the event so far, says.

    Raises
    ------
    ReportError
        If there is no day, the days are out of order, a charge is in another currency than the report,
        a time carries an offset, or a number is not finite.
    """

    event_name: Annotated[str, "name of the event"]
    town: Annotated[str, "where it is played"]
    title: Annotated[str, "what is reported, such as Wednesday 8 July 2026 or Event so far"]
    days: Annotated[tuple[date, ...], "days reported, in order"]
    zone_name: Annotated[str, "IANA name of the time zone in which every time stands"]
    currency: Annotated[str, "ISO 4217 code of every amount"]
    made_at: Annotated[datetime, "when the report was made"]
    closed: Annotated[bool, "whether every day reported is closed"]
    closed_at: Annotated[datetime | None, "when the last of them was closed"] = None
    closed_by: Annotated[str, "who closed it"] = ""
    summary: Annotated[Summary, "the figures that are asked first"]
    reopenings: Annotated[tuple[checks.Reopening, ...], "closings that were taken back, the first first"] = ()
    signed_before: Annotated[tuple[checks.SignedRow, ...], "what differs from the sheets of those closings"] = ()
    corrections: Annotated[tuple[checks.Correction, ...], "changes noted after closing"] = ()
    throughput_by_hour: Annotated[tuple[work.HourRow, ...], "one an hour, from the first to the last with work"] = ()
    throughput_by_day: Annotated[tuple[work.DayRow, ...], "one a day reported"] = ()
    throughput_by_stringer: Annotated[tuple[work.StringerRow, ...], "one a stringer"] = ()
    team: Annotated[tuple[work.TeamRow, ...], "one a stringer and day"] = ()
    throughput_by_machine: Annotated[tuple[work.MachineRow, ...], "one a machine"] = ()
    jobs: Annotated[tuple[job.JobRow, ...], "one a job"] = ()
    needed_by: Annotated[tuple[job.NeededByRow, ...], "one a job with a needed-by time"] = ()
    time_on_bench: Annotated[tuple[job.BenchTimeRow, ...], "one a racquet finished"] = ()
    string: Annotated[tuple[stock.StringRow, ...], "one a string, the desk's own and players' apart"] = ()
    metres_by_pattern: Annotated[tuple[stock.PatternRow, ...], "one a pattern"] = ()
    reels: Annotated[tuple[stock.ReelRow, ...], "one a reel"] = ()
    to_order: Annotated[tuple[stock.OrderRow, ...], "one a string to order"] = ()
    tensions: Annotated[tuple[stock.TensionRow, ...], "mains and crosses of each group"] = ()
    materials: Annotated[tuple[stock.MaterialRow, ...], "one a material or hybrid"] = ()
    money_by_day: Annotated[tuple[money.MoneyRow, ...], "one a day reported"] = ()
    taxes: Annotated[tuple[money.TaxRow, ...], "one a rate of tax"] = ()
    charges: Annotated[tuple[money.ChargeRow, ...], "one a payer"] = ()
    invoices: Annotated[tuple[money.InvoiceRow, ...], "one an invoice made in the report"] = ()
    prize_money: Annotated[tuple[money.PrizeMoneyRow, ...], "one a player of whose prize money something is kept"] = ()
    calibration: Annotated[tuple[stock.CalibrationRow, ...], "one a reading"] = ()
    mishaps: Annotated[tuple[mishap.MishapRow, ...], "what went wrong, by kind, by reel and by machine"] = ()
    carried_over: Annotated[tuple[job.CarriedOverRow, ...], "jobs open at the end"] = ()
    uncollected: Annotated[tuple[job.UncollectedRow, ...], "racquets strung and still at the desk"] = ()
    cross_checks: Annotated[tuple[checks.CrossCheckRow, ...], "one a total"] = ()
    comparison: Annotated[checks.Comparison | None, "beside the days before; None on the first day"] = None

    def __post_init__(self) -> None:
        self._check_days()
        self._check_currency()
        for name, value in _leaves(self, "report"):
            self._check_leaf(name, value)

    def _check_days(self) -> None:
        if not self.days:
            raise ReportError(f"The report {self.title!r} has no day; give at least one.")
        if list(self.days) != sorted(set(self.days)):
            raise ReportError(f"The days of the report {self.title!r} are out of order or stand twice.")

    def _check_currency(self) -> None:
        for row in self.charges:
            if row.currency != self.currency:
                raise ReportError(
                    f"{row.payer} is charged in {row.currency}, but the report is in {self.currency}. "
                    "Amounts in two currencies cannot be added: settle that charge in the event's currency."
                )

    def _check_leaf(self, name: str, value: Any) -> None:
        if isinstance(value, datetime) and value.tzinfo is not None:
            raise ReportError(
                f"{name} is {value.isoformat()}, with an offset; give the local time of {self.zone_name} without."
            )
        if isinstance(value, float) and not isfinite(value):
            raise ReportError(f"{name} is {value}; give a number, or None where it is not known.")


def _leaves(value: Any, name: str) -> Iterator[tuple[str, datetime | float]]:
    """Every time and every fraction in a value, with the name of the field that holds it."""
    if isinstance(value, (datetime, float)):
        yield name, value
    elif isinstance(value, tuple):
        for number, item in enumerate(value, 1):
            yield from _leaves(item, f"{name} {number}")
    elif is_dataclass(value):
        for field in fields(value):
            yield from _leaves(getattr(value, field.name), f"{name}: {field.name}")
