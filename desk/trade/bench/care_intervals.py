"""Checks of a stringing machine by interval (common practice); the maker's manual overrides every one of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from desk.trade.racquet.value_kinds import Whole

RACQUETS = Whole(1, 100_000, "racquets")
HOURS = Whole(1, 100_000, "hours")


@dataclass(frozen=True, kw_only=True)
class CareInterval:
    """One check: due after so many racquets or so many hours with a racquet on the machine, whichever is first."""

    name: str
    every_racquets: int | None = None
    every_hours: int | None = None
    note: str = ""


_UNPLUG = "Switch off and unplug an electric machine first."
DEFAULTS = (
    CareInterval(
        name="Clean clamps and gripper",
        every_racquets=40,
        note="Coating and dust let a string slip. No racquet on the machine.",
    ),
    CareInterval(
        name="Clamps hold", every_racquets=150, note="They close parallel, at the right pressure, and leave no mark."
    ),
    CareInterval(
        name="Gripper jaws",
        every_racquets=150,
        every_hours=75,
        note=f"Worn or smooth jaws let a string slip. {_UNPLUG}",
    ),
    CareInterval(name="Tension head and its rail", every_racquets=300, every_hours=150, note=_UNPLUG),
    CareInterval(
        name="Turntable, posts and side supports",
        every_racquets=300,
        every_hours=150,
        note="Nothing loose, nothing sharp where the frame lies.",
    ),
    CareInterval(
        name="Cable, plug and switch", every_hours=150, note=f"{_UNPLUG} A damaged cable is for an electrician."
    ),
    CareInterval(
        name="Service by somebody trained", every_racquets=2000, every_hours=1000, note="After the maker's manual."
    ),
)
"""What an event begins with (common practice)."""


def share_used(racquets: int, hours: float, every_racquets: int | None, every_hours: int | None) -> float:
    """Return how much of its interval a check has used, the further of the two: 1 and more is due."""
    used: Iterable[float] = (
        done / every for done, every in ((racquets, every_racquets), (hours, every_hours)) if every is not None
    )
    return max(used, default=0.0)


def interval_faults(name: str, every_racquets: int | None, every_hours: int | None) -> dict[str, str]:
    """Return what keeps a check from the list, by field."""
    faults = {} if name.strip() else {"name": "say what is checked"}
    if every_racquets is None and every_hours is None:
        faults["every_racquets"] = "give racquets, or hours, or both"
    for field, kind, value in (("every_racquets", RACQUETS, every_racquets), ("every_hours", HOURS, every_hours)):
        if value is not None and (fault := kind.fault(value)):
            faults[field] = fault
    return faults
