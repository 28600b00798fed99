"""Rows of what was compared, counted twice, or corrected."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal

Measure = Literal["count", "m", "min", "minor", "pct"]
Better = Literal["more", "fewer", "neither"]


@dataclass(frozen=True, kw_only=True)
class Correction:
    """A noted change to a day that was closed."""

    made_at: Annotated[datetime, "when it was noted"]
    made_by: Annotated[str, "who noted it"]
    subject: Annotated[str, "what was corrected, such as a tag or a reel"]
    before: Annotated[str, "as it stood when the day closed"]
    after: Annotated[str, "as it stands now"]
    reason: Annotated[str, "why"]


@dataclass(frozen=True, kw_only=True)
class Reopening:
    """A day that was closed and opened again."""

    closed_at: Annotated[datetime, "when it was closed first"]
    closed_by: Annotated[str, "who closed it then"]
    opened_at: Annotated[datetime, "when it was opened again"]
    opened_by: Annotated[str, "who opened it"]
    reason: Annotated[str, "why"]


@dataclass(frozen=True, kw_only=True)
class SignedRow:
    """One figure of a day that was opened again, as it had been signed and as it is now."""

    day: Annotated[date, "the day that was opened again"]
    closed_at: Annotated[datetime, "when the sheet was signed that is compared"]
    closed_by: Annotated[str, "who signed it"]
    figure: Annotated[str, "what is counted"]
    signed: Annotated[str, "as it was signed then"]
    now: Annotated[str, "as it is now, or as it was signed last"]


@dataclass(frozen=True, kw_only=True)
class CrossCheckRow:
    """One total, counted twice from independent sources."""

    figure: Annotated[str, "what is counted"]
    measure: Annotated[Measure, "unit of the two counts"]
    first_source: Annotated[str, "where the first count comes from"]
    first: Annotated[float, "first count"]
    second_source: Annotated[str, "where the second count comes from"]
    second: Annotated[float, "second count"]
    tolerance: Annotated[float, "difference that is only rounding"] = 0.0

    @property
    def differs(self) -> bool:
        """Whether the two counts are further apart than rounding explains."""
        return abs(self.first - self.second) > self.tolerance


@dataclass(frozen=True, kw_only=True)
class ComparisonRow:
    """One figure beside the same figure before."""

    figure: Annotated[str, "what is compared"]
    measure: Annotated[Measure, "unit of the two values"]
    better: Annotated[Better, "whether more of it is better, fewer, or neither"]
    now: Annotated[float | None, "in this report"]
    before: Annotated[float | None, "before"]


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """The report beside an earlier day, or the mean of earlier days."""

    before_title: Annotated[str, "what it is compared with, such as Tuesday 7 July"]
    rows: Annotated[tuple[ComparisonRow, ...], "one a figure"]
