"""What is asked of a rehearsal, from the fields of a form or of a run in the records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from desk.errors import BadInput
from desk.queries.rehearsal.answers import Goal
from desk.queries.rehearsal.event_picture import Assumed
from desk.trade.rehearsed.picture import Risks
from solver.rehearsal import EFFORT_USUAL

MOST_TEAMS = 6


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is rehearsed: teams in words, events to draw, the goal, what is assumed, steps of search after a change."""

    teams: tuple[str, ...] = ()
    replications: int = 100
    goal: Goal = field(default_factory=Goal)
    assumed: Assumed = field(default_factory=Assumed)
    effort: int = EFFORT_USUAL
    workers: int | None = None


def asked_of(typed: Mapping[str, Any]) -> Asked:
    """Return what these fields ask for."""
    teams = tuple(line.strip() for line in (typed.get("teams") or "").splitlines() if line.strip())
    if len(teams) > MOST_TEAMS:
        raise BadInput(f"{len(teams)} teams; at most {MOST_TEAMS} are rehearsed at once.")
    on_court, usual = typed.get("on_court"), Risks()
    risks = Risks(
        spread=round(typed.get("spread") or usual.spread),
        rain=(typed.get("rain") or 0) / 100,
        machine_fails=_share(typed.get("machine_fails"), usual.machine_fails),
        stringer_away=_share(typed.get("stringer_away"), usual.stringer_away),
    )
    assumed = Assumed(
        players=typed.get("players"),
        matches_a_day=matches_a_day(typed.get("matches") or ""),
        racquets=typed.get("racquets"),
        on_court=None if on_court is None else on_court / 100,
        risks=risks,
    )
    goal = Goal(on_time=typed["on_time"] / 100, days=typed["days"] / 10)
    effort = int(typed.get("effort") or EFFORT_USUAL)
    return Asked(teams=teams, replications=typed["times"], goal=goal, assumed=assumed, effort=effort)


def matches_a_day(text: str) -> tuple[int, ...]:
    """Return the numbers of a list with commas."""
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not all(part.isdecimal() for part in parts):
        raise BadInput("Matches a day are whole numbers with commas, such as 5, 9, 6, 5, 4, 2, 1.")
    return tuple(int(part) for part in parts)


def _share(per_cent: float | None, usual: float) -> float:
    return usual if per_cent is None else per_cent / 100
