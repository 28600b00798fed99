"""The table of what grew and what slipped against the days before."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from exports.money import money_text
from exports.report import UsageReport
from exports.rows.checks import ComparisonRow, Measure
from exports.sheet import Chart, Sheet
from exports.tables.columns import col, cols

Verdict = Literal["grew", "fell", "better", "slipped", "the same", "new"]


@dataclass(frozen=True, kw_only=True)
class _Compared(ComparisonRow):
    """One figure beside the same before, ready to be drawn."""

    change_pct: float | None
    held_pct: float | None
    slipped_pct: float | None
    verdict: str
    in_words: str


def verdict(row: ComparisonRow) -> Verdict:
    """Whether a figure is better or slipped, or only grew or fell where neither is better."""
    if row.now is None or row.before is None:
        return "new"
    if row.now == row.before:
        return "the same"
    grew = row.now > row.before
    if row.better == "neither":
        return "grew" if grew else "fell"
    return "better" if grew == (row.better == "more") else "slipped"


def sentences(report: UsageReport) -> tuple[tuple[str, bool], ...]:
    """What is to be said against the days before: how many were strung, what slipped most, what got better most.

    Each with whether it slipped; none where there is nothing to compare with.
    """
    compared = report.comparison
    if compared is None or not compared.rows:
        return ()
    judged = [(row, verdict(row), _size(row)) for row in compared.rows]
    strung = compared.rows[0]
    said = [(f"{_sentence(strung, report.currency)}, against {compared.before_title}.", False)]
    for which, nothing in (("slipped", "Nothing slipped."), ("better", "Nothing got better.")):
        worst = max((one for one in judged if one[1] == which), key=lambda one: one[2], default=None)
        words = nothing if worst is None else f"{_sentence(worst[0], report.currency)}."
        said.append((words, which == "slipped" and worst is not None))
    return tuple(said)


def _size(row: ComparisonRow) -> float:
    """How large a change is: of rates in points, of anything else in per cent."""
    if row.now is None or row.before is None:
        return 0.0
    change = abs(row.now - row.before)
    return change if row.measure == "pct" else 100 * change / max(abs(row.before), 1.0)


def _sentence(row: ComparisonRow, currency: str) -> str:
    now, before = (_shown(value, row.measure, currency) for value in (row.now, row.before))
    judged = verdict(row)
    if row.now is None or row.before is None or judged == "the same":
        return f"{row.figure}: {now}, as before" if judged == "the same" else f"{row.figure}: {now}"
    told = f": {judged}" if judged in ("better", "slipped") else ""
    return f"{row.figure} {'grew' if row.now > row.before else 'fell'} to {now} from {before}{told}"


def comparison(report: UsageReport) -> Sheet:
    """What grew and what slipped."""
    compared = report.comparison
    before = compared.before_title if compared else "the days before"
    chart = Chart(
        title=f"What grew and what slipped since {before}, change in per cent",
        along="in_words",
        values=("held_pct", "slipped_pct"),
        lying=True,
        unit="change, per cent",
    )
    return Sheet(
        key="comparison",
        name="Comparison",
        note=f"Compared with {before}.",
        empty="There is nothing to compare with yet.",
        columns=(
            col("figure", "Figure"),
            col("now", "Now", lambda row: row.measure),
            col("before", "Before", lambda row: row.measure),
            col("change_pct", "Change", "change"),
            col("verdict", "Verdict", alert=lambda row: row.verdict == "slipped"),
            col("in_words", "In words"),
            *cols("change", printed=False, held_pct="Drawn black", slipped_pct="Drawn in colour"),
        ),
        rows=[_compared(row, report.currency) for row in compared.rows] if compared else (),
        charts=(chart,),
    )


def _compared(row: ComparisonRow, currency: str) -> _Compared:
    judged = verdict(row)
    change = 100 * (row.now - row.before) / row.before if row.before and row.now is not None else None
    return _Compared(
        **vars(row),
        change_pct=change,
        held_pct=None if judged == "slipped" else change,
        slipped_pct=change if judged == "slipped" else None,
        verdict=judged,
        in_words=_in_words(row, judged, currency),
    )


def _in_words(row: ComparisonRow, judged: Verdict, currency: str) -> str:
    now, before = (_shown(value, row.measure, currency) for value in (row.now, row.before))
    return f"{row.figure} {now}, was {before}: {judged}"


def _shown(value: float | None, measure: Measure, currency: str) -> str:
    if value is None:
        return "unknown"
    if measure == "minor":
        return money_text(value, currency)
    if measure == "count":
        return f"{value:,.0f}"
    return f"{_half_up(value):,} " + {"m": "m", "min": "min", "pct": "%"}[measure]


def _half_up(value: float) -> Decimal:
    """The value to a tenth, a half up: as the spreadsheet shows the same figure in its cell."""
    return Decimal(str(value)).quantize(Decimal("0.1"), ROUND_HALF_UP)
