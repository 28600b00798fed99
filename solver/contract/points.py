"""What each shortcoming of a plan costs."""

from dataclasses import dataclass

HEADINGS = (
    "unplaced",
    "late",
    "promise",
    "extra_stringer",
    "extra_machine",
    "extra_kind",
    "away",
    "over_target",
    "moved",
    "stale",
    "waiting",
)
"""The headings of a plan's costs, in the order in which they are shown."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Points:
    """Points by heading; lower totals are better.  Every figure is a whole number of 0 or more.

    `late` is for each minute past `latest` and unit of weight (`end_points` says what it is before),
    `promise`, `over_target` and `waiting` for each minute, the others for each occurrence.
    `late_cap` is the number of minutes after which lateness and a broken promise cost no more
    (None: they always cost more).
    """

    unplaced: int = 100_000
    late: int = 100
    promise: int = 100
    extra_stringer: int = 1_500
    extra_machine: int = 500
    extra_kind: int = 2_000
    away: int = 200
    over_target: int = 50
    moved: int = 300
    stale: int = 400
    waiting: int = 1
    late_cap: int | None = 120

    def __post_init__(self) -> None:
        """Refuse what is no whole number of 0 or more."""
        for heading in (*HEADINGS, "late_cap"):
            value = getattr(self, heading)
            if heading == "late_cap" and value is None:
                continue
            if isinstance(value, bool) or not isinstance(value, int) or value < 0:
                raise ValueError(f"{heading}: points are whole numbers of 0 or more, not {value!r}.")
