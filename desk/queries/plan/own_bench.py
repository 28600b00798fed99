"""Each player's own stringer and machine: the lead's choice, else the first plan's, else who strung most."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Row, func, select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, Player, Stringer
from desk.queries.event.events import names_by_id

STRUNG = ("on_machine", "strung", "handed_over", "redo")
"""States of a job that somebody has begun at least: it counts for who the player's own stringer is."""


@dataclass(frozen=True, kw_only=True)
class OwnBench:
    """A player's own stringer and machine, by id and name; `why` is lead, first, strung, planned or nothing.

    `has_strung` says that the stringer has strung for the player.
    """

    stringer_id: int | None = None
    machine_id: int | None = None
    stringer: str = ""
    machine: str = ""
    why: str = ""
    has_strung: bool = False

    @property
    def binds(self) -> bool:
        """Whether it stands, rather than being where the present plan alone has the player's racquets."""
        return self.why not in ("", "planned")


NOBODY = OwnBench()


def own_bench(session: Session, event: Event, player_id: int) -> OwnBench:
    """Return the own stringer and machine of one player."""
    return own_benches(session, event, [player_id]).get(player_id, NOBODY)


def own_benches(
    session: Session, event: Event, player_ids: Iterable[int] | None = None, *, planned: bool = True
) -> dict[int, OwnBench]:
    """Return the own stringer and machine of each player that has one, in a fixed number of statements.

    PLANNED counts the plan in force, where nothing else says it.
    """
    wanted = None if player_ids is None else set(player_ids)
    of_event = Player.event_id == event.id if wanted is None else Player.id.in_(wanted)
    kept = (Player.own_stringer_id, Player.own_machine_id, Player.first_stringer_id, Player.first_machine_id)
    rows = session.execute(select(Player.id, *kept).where(of_event)).all()
    names = _Names(session, event)
    own = {
        player_id: names.at_home(OwnBench(stringer_id=stringer, machine_id=machine, why="lead"))
        for player_id, stringer, machine, *_ in rows
        if stringer is not None or machine is not None
    }
    _fill(own, {player_id: (who, where or 0) for player_id, _, _, who, where in rows if who is not None}, "first")
    strung = _strung(session, event, wanted)
    _fill(own, _winners(strung), "strung")
    if planned:
        _fill(own, _most_planned(session, event, wanted), "planned")
    pairs = {(player_id, stringer_id) for player_id, stringer_id, *_ in strung}
    return {key: names.named(replace(one, has_strung=(key, one.stringer_id) in pairs)) for key, one in own.items()}


class _Names:
    def __init__(self, session: Session, event: Event) -> None:
        people = session.execute(
            select(Stringer.id, Stringer.name, Stringer.home_machine_id).where(Stringer.event_id == event.id)
        ).all()
        self.stringers = {row.id: row.name for row in people}
        self.homes = {row.id: row.home_machine_id for row in people}
        self.machines = names_by_id(session, event, Machine)

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
            bench, stringer_id=bench.stringer_id or stringer_id, machine_id=bench.machine_id or machine_id or None
        )


Counts = dict[int, Counter[int]]
Rows = Sequence[Row[Any]]


def _strung(session: Session, event: Event, wanted: set[int] | None) -> Rows:
    """Return how many of each player's racquets each stringer strung at each machine, the first ones first.

    Racquets from the court went to whoever was free, and say nothing.
    """
    found = (
        select(Job.player_id, Job.stringer_id, Job.machine_id, func.count(), func.min(Job.started_at))
        .where(Job.event_id == event.id, Job.state.in_(STRUNG), Job.stringer_id.is_not(None), Job.on_court.is_(False))
        .group_by(Job.player_id, Job.stringer_id, Job.machine_id)
        .order_by(func.min(Job.started_at), Job.stringer_id)
    )
    return session.execute(found if wanted is None else found.where(Job.player_id.in_(wanted))).all()


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
    return _winners(session.execute(found if wanted is None else found.where(Job.player_id.in_(wanted))).all())


def _winners(rows: Rows) -> dict[int, tuple[int, int]]:
    """Return who and which machine have most of each player's racquets; of equals the first."""
    people: Counts = defaultdict(Counter)
    benches: Counts = defaultdict(Counter)
    for player_id, stringer_id, machine_id, count, _ in rows:
        people[player_id][stringer_id] += count
        if machine_id is not None:
            benches[player_id][machine_id] += count
    return {player_id: (_most(counts), _most(benches[player_id])) for player_id, counts in people.items()}


def _most(counts: Counter[int]) -> int:
    return max(counts, key=lambda one: counts[one], default=0)
