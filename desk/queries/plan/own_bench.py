"""Each player's own stringer and machine: the lead's choice, else who has strung most, else the plan's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, Player, Stringer
from desk.queries.team.team import StringerRow
from desk.trade.event.event_time import EventClock

STRUNG = ("on_machine", "strung", "handed_over", "redo")
"""States of a job that somebody has begun at least: it counts for who the player's own stringer is."""


@dataclass(frozen=True, kw_only=True)
class OwnBench:
    """A player's own stringer and machine, by id and name; `why` is lead, strung, planned or nothing."""

    stringer_id: int | None = None
    machine_id: int | None = None
    stringer: str = ""
    machine: str = ""
    why: str = ""

    @property
    def is_usual(self) -> bool:
        """Whether the lead decided it or it has been so, rather than the present plan alone."""
        return self.why in ("lead", "strung")


NOBODY = OwnBench()


def own_bench(session: Session, event: Event, player_id: int) -> OwnBench:
    """Return the own stringer and machine of one player."""
    return own_benches(session, event, [player_id]).get(player_id, NOBODY)


def own_benches(
    session: Session, event: Event, player_ids: Iterable[int] | None = None, *, planned: bool = True
) -> dict[int, OwnBench]:
    """Return the own stringer and machine of each player that has one, in a fixed number of statements.

    PLANNED counts the plan in force, where nobody decided and nothing is strung.
    """
    wanted = None if player_ids is None else set(player_ids)
    of_event = Player.event_id == event.id if wanted is None else Player.id.in_(wanted)
    found = {
        player_id: OwnBench(stringer_id=stringer, machine_id=machine, why="lead")
        for player_id, stringer, machine in session.execute(
            select(Player.id, Player.own_stringer_id, Player.own_machine_id).where(of_event)
        )
        if stringer is not None or machine is not None
    }
    names = _Names(session, event)
    own = {player_id: names.at_home(bench) for player_id, bench in found.items()}
    _fill(own, _most(session, event, wanted), "strung")
    if planned:
        _fill(own, _most_planned(session, event, wanted), "planned")
    return {player_id: names.named(bench) for player_id, bench in own.items()}


class _Names:
    def __init__(self, session: Session, event: Event) -> None:
        people = session.execute(
            select(Stringer.id, Stringer.name, Stringer.home_machine_id).where(Stringer.event_id == event.id)
        ).all()
        self.stringers = {row.id: row.name for row in people}
        self.homes = {row.id: row.home_machine_id for row in people}
        benches = select(Machine.id, Machine.name).where(Machine.event_id == event.id)
        self.machines: dict[int, str] = dict(session.execute(benches).all())

    def at_home(self, bench: OwnBench) -> OwnBench:
        """With a stringer whom the lead chose goes the stringer's home machine, unless the lead chose another."""
        return replace(bench, machine_id=bench.machine_id or self.homes.get(bench.stringer_id or 0))

    def named(self, bench: OwnBench) -> OwnBench:
        return replace(
            bench,
            stringer=self.stringers.get(bench.stringer_id or 0, ""),
            machine=self.machines.get(bench.machine_id or 0, ""),
        )


def _fill(own: dict[int, OwnBench], more: Mapping[int, tuple[int, int]], why: str) -> None:
    for player_id, (stringer_id, machine_id) in more.items():
        bench = own.get(player_id, OwnBench(why=why))
        own[player_id] = replace(
            bench, stringer_id=bench.stringer_id or stringer_id, machine_id=bench.machine_id or machine_id
        )


Counts = dict[int, dict[int, int]]


def _most(session: Session, event: Event, wanted: set[int] | None) -> dict[int, tuple[int, int]]:
    """Return who and which machine strung most of each player's racquets; of equals the first.

    Racquets from the court went to whoever was free, and say nothing.
    """
    found = (
        select(Job.player_id, Job.stringer_id, Job.machine_id, func.count(), func.min(Job.started_at))
        .where(Job.event_id == event.id, Job.state.in_(STRUNG), Job.stringer_id.is_not(None), Job.on_court.is_(False))
        .group_by(Job.player_id, Job.stringer_id, Job.machine_id)
        .order_by(func.min(Job.started_at), Job.stringer_id)
    )
    return _winners(found if wanted is None else found.where(Job.player_id.in_(wanted)), session)


def _most_planned(session: Session, event: Event, wanted: set[int] | None) -> dict[int, tuple[int, int]]:
    found = (
        select(
            Job.player_id, Assignment.stringer_id, Assignment.machine_id, func.count(), func.min(Assignment.start_at)
        )
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Job.state == "waiting", Job.on_court.is_(False))
        .group_by(Job.player_id, Assignment.stringer_id, Assignment.machine_id)
        .order_by(func.min(Assignment.start_at), Assignment.stringer_id)
    )
    return _winners(found if wanted is None else found.where(Job.player_id.in_(wanted)), session)


def _winners(rows: object, session: Session) -> dict[int, tuple[int, int]]:
    people: Counts = {}
    benches: Counts = {}
    for player_id, stringer_id, machine_id, count, _ in session.execute(rows):  # type: ignore[call-overload]
        for counts, row_id in ((people, stringer_id), (benches, machine_id)):
            if row_id is not None:
                of_player = counts.setdefault(player_id, {})
                of_player[row_id] = of_player.get(row_id, 0) + count
    return {
        player_id: (max(of_player, key=lambda one: of_player[one]), _first(benches.get(player_id, {})))
        for player_id, of_player in people.items()
    }


def _first(counts: Mapping[int, int]) -> int:
    return max(counts, key=lambda one: counts[one], default=0)


def with_whom(
    own: OwnBench, stringer_id: int | None, name: str, team: Mapping[int, StringerRow], clock: EventClock, at: datetime
) -> str:
    """Return with whom a racquet is strung, beside the player's own: "with S1, as always"."""
    if not name:
        return ""
    if not own.is_usual or own.stringer_id is None:
        return f"with {name}"
    if own.stringer_id == stringer_id:
        return f"with {name}, as always"
    return f"with {name}, not with {own.stringer}{_because(team.get(own.stringer_id), clock, at)}"


def _because(row: StringerRow | None, clock: EventClock, at: datetime) -> str:
    if row is None:
        return ", who has left the team"
    if row.at_work:
        return ", who has no time before"
    back_at = row.back_at if row.absent else row.next_at
    if back_at is None:
        return ", who is away" if row.absent else ", who has no hours ahead"
    minute = clock.to_minutes(back_at)
    is_today = clock.local(back_at).date() == clock.local(at).date()
    return f", who is off until {clock.hhmm(minute) if is_today else clock.day_hhmm(minute)}"
