"""What changed since a day was closed: noted by somebody, or found by its figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from datetime import datetime

from desk.models import DayCorrection, DayOpening
from desk.queries.close.span import UsageSpan
from desk.queries.row_making import row_of
from exports.money import money_text
from exports.report import Summary
from exports.rows.checks import Correction, Reopening, SignedRow
from exports.rows.stock import ReelRow

FIGURES = {
    "racquets_strung": "Racquets strung",
    "players_served": "Players served",
    "with_needed_by": "Needed by a time",
    "on_time": "On time",
    "tight": "Tight",
    "late_up_to_5": "Late by up to 5 minutes",
    "late_up_to_15": "Late by 5 to 15 minutes",
    "late_up_to_30": "Late by 15 to 30 minutes",
    "late_more": "Late by more than 30 minutes",
    "needed_not_strung": "Needed and not strung",
    "late_match_begun": "Late, match begun",
    "promises_made": "Promises",
    "promises_kept": "Promises kept",
    "promised_not_strung": "Promised and not strung",
    "promises_changed": "Promises changed",
    "on_court": "From a match in play",
    "on_court_mean_min": "Their mean minutes",
    "string_m": "Metres in racquets",
    "waste_m": "Metres wasted",
    "redo": "Redo",
    "mishaps": "Went wrong",
    "carried_over": "Carried over",
    "cancelled": "Cancelled",
    "uncollected": "Uncollected",
    "bench_mean_min": "Mean minutes on the bench",
    "ready_mean_min": "Mean minutes from drop-off to ready",
    "within_target": "Within the time target",
    "brought_forward_minor": "Open brought forward",
    "charged_minor": "Charged",
    "tax_minor": "Tax",
    "received_minor": "Received",
    "refunded_minor": "Paid back",
    "written_off_minor": "Written off",
    "carried_forward_minor": "Open carried forward",
    "left_m": "Metres left on the reels",
}
"""The figures that are kept when a day is closed, with their words."""

NOT_NOTED = "not noted yet: the desk lead has to say why"


def kept_figures(summary: Summary, reels: Sequence[ReelRow]) -> dict[str, float | None]:
    """The figures of a day as they are kept when it is closed."""
    values = asdict(summary) | {"left_m": sum(row.closing_m for row in reels)}
    return {key: None if values[key] is None else round(float(values[key]), 2) for key in FIGURES}


def changes(
    kept: Mapping[str, float | None] | None, found: Mapping[str, float | None], currency: str
) -> list[tuple[str, str, str]]:
    """Each figure that differs from the kept ones: its words, as it was, as it is; amounts in the currency."""
    if kept is None:
        return []
    return [
        (words, _text(key, kept[key], currency), _text(key, found[key], currency))
        for key, words in FIGURES.items()
        if key in kept and key in found and kept[key] != found[key]
    ]


def _text(key: str, value: float | None, currency: str) -> str:
    if value is None:
        return "unknown"
    return money_text(value, currency) if key.endswith("_minor") else f"{value:,.10g}"


def reopenings(openings: Sequence[DayOpening], wall: Callable[[datetime], datetime]) -> tuple[Reopening, ...]:
    """Each closing that was taken back."""
    return tuple(
        row_of(Reopening, one, closed_at=wall(one.closed_at), opened_at=wall(one.at), opened_by=one.by)
        for one in openings
    )


def signed_before(
    span: UsageSpan,
    openings: Sequence[DayOpening],
    now: Mapping[str, float | None],
    wall: Callable[[datetime], datetime],
    currency: str,
) -> tuple[SignedRow, ...]:
    """What differs from the figures that were signed before a day was opened again, closing by closing.

    A report of several days shows the days that are closed again, by the figures signed last.
    """
    days = {day.id: day for day in span.days}
    return tuple(
        SignedRow(
            day=days[one.day_id].date,
            closed_at=wall(one.closed_at),
            closed_by=one.closed_by,
            figure=words,
            signed=before,
            now=after,
        )
        for one in openings
        for words, before, after in changes(
            one.figures, now if len(days) == 1 else days[one.day_id].figures or {}, currency
        )
    )


def corrections(
    span: UsageSpan,
    noted: Sequence[DayCorrection],
    now: Mapping[str, float | None],
    wall: Callable[[datetime], datetime],
    currency: str,
) -> tuple[Correction, ...]:
    """What was noted, then what changed without a note. A report of several days shows only what was noted."""
    rows = [
        row_of(Correction, one, made_at=wall(one.at), made_by=one.by, subject=one.subject or "the day", reason=one.note)
        for one in noted
    ]
    closed = [day for day in span.days if day.closed_at is not None and len(span.days) == 1]
    rows += [
        Correction(made_at=wall(span.end_at), made_by="", subject=words, before=before, after=after, reason=NOT_NOTED)
        for day in closed
        for words, before, after in changes(day.figures, now, currency)
    ]
    return tuple(rows)
