"""Rows and reports of an invented event with boring defaults; no name is a real player's, event's or string's."""

from dataclasses import MISSING, fields, replace
from datetime import date, datetime
from typing import Any, TypeVar, get_type_hints

from exports.report import Summary, UsageReport
from exports.rows.jobs import JobRow
from exports.units import Tension

EMPTY: dict[type, Any] = {int: 0, float: 0.0, str: "", bool: False}
Kind = TypeVar("Kind")


def blank(kind: type[Kind], **over: Any) -> Kind:
    """A row of this kind in which nothing is counted, said or known, but for OVER."""
    hints = get_type_hints(kind)
    empty = {one.name: EMPTY.get(hints[one.name]) for one in fields(kind) if one.default is MISSING}
    return kind(**(empty | over))


def rows_of(kind: type[Kind], columns: str, *rows: tuple) -> tuple[Kind, ...]:
    """Rows of this kind, each given by the values of COLUMNS; the others are blank."""
    return tuple(blank(kind, **dict(zip(columns.split(), row, strict=True))) for row in rows)


def make_summary(**over: Any) -> Summary:
    """A summary of an empty day."""
    return blank(Summary, **({"target_min": 30} | over))


def make_report(**over: Any) -> UsageReport:
    """The report of an empty day."""
    base: dict[str, Any] = {
        "event_name": "Lakeside Open (invented)",
        "town": "Harbour Town",
        "title": "Wednesday 8 July 2026",
        "days": (date(2026, 7, 8),),
        "zone_name": "Europe/Berlin",
        "currency": "EUR",
        "made_at": datetime(2026, 7, 8, 23, 10),
        "closed": False,
        "summary": make_summary(),
    }
    return UsageReport(**(base | over))


def make_job(**over: Any) -> JobRow:
    """A job that was strung without trouble."""
    base: dict[str, Any] = {
        "tag": "A17",
        "player": "Alma Arden",
        "racquet": "2",
        "state": "handed over",
        "on_court": False,
        "dropped_off_at": datetime(2026, 7, 8, 9, 5),
        "needed_by_at": datetime(2026, 7, 8, 12, 0),
        "promised_at": datetime(2026, 7, 8, 11, 30),
        "started_at": datetime(2026, 7, 8, 10, 40),
        "ready_at": datetime(2026, 7, 8, 11, 2),
        "handed_over_at": datetime(2026, 7, 8, 11, 20),
        "bench_min": 22.0,
        "stringer": "Mira Tolland",
        "machine": "Bench 1",
        "mains": "Polyester A 1.25",
        "mains_tension": Tension(value=53.5, unit="lb"),
        "crosses": "Polyester A 1.25",
        "crosses_tension": Tension(value=51.5, unit="lb"),
        "knots": 2,
        "string_m": 11.4,
        "charge_minor": 2500,
    }
    return JobRow(**(base | over))


def with_name(report: UsageReport, name: str) -> UsageReport:
    """The same report with one player's name replaced throughout."""
    old = report.jobs[0].player

    def renamed(rows: tuple[Any, ...], column: str) -> tuple[Any, ...]:
        return tuple(replace(row, **{column: name}) if getattr(row, column) == old else row for row in rows)

    tables = dict.fromkeys(("jobs", "needed_by", "time_on_bench", "carried_over", "uncollected"), "player")
    tables["charges"] = "payer"
    return replace(report, **{table: renamed(getattr(report, table), column) for table, column in tables.items()})
