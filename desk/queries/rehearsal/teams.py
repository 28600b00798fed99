"""Teams to rehearse: as the records plan them, or as somebody says them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Machine, Stringer
from desk.queries.machines.machines import usable_windows
from desk.queries.play.play_records import clock_of
from desk.queries.rehearsal.event_picture import day_hours
from desk.queries.team.team import work_windows
from desk.trade.errors import TradeError
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.team_words import TeamWords, read_team, shifts_of
from solver.contract import workload as work
from solver.rehearsal import Team

MOST = 60
AS_PLANNED = "as planned"


def teams_of(session: Session, event: Event, said: Sequence[str]) -> list[Team]:
    """Return the teams of these words; the planned one where nothing is said.

    Raises
    ------
    BadInput
        For words that are no team, and for a team without anybody.
    """
    planned, days = planned_team(session, event), day_hours(session, event)
    found = []
    for words in said or (AS_PLANNED,):
        try:
            team = team_of(read_team(words), planned, days)
        except TradeError as error:
            raise BadInput(str(error)) from error
        if not team.stringers or not team.machines:
            raise BadInput(f'"{words}": a team needs at least one stringer and one machine.')
        found.append(team)
    return found


def planned_team(session: Session, event: Event) -> Team:
    """Return the event's own stringers and machines with their shifts, before anything has failed."""
    clock = clock_of(session, event)
    opens = [day.opens for day in day_hours(session, event)]
    before = clock.to_utc(min(opens, default=0) - 1440)
    windows, service = work_windows(session, event, before), usable_windows(session, event, before)
    homes = dict(session.execute(select(Machine.id, Machine.code).where(Machine.event_id == event.id)).all())

    def minutes(spans):
        return tuple((clock.to_minutes(a), clock.to_minutes(b)) for a, b in spans)

    people = session.scalars(select(Stringer).where(Stringer.event_id == event.id).order_by(Stringer.position))
    machines = session.scalars(select(Machine).where(Machine.event_id == event.id).order_by(Machine.position))
    return Team(
        name=AS_PLANNED,
        stringers=tuple(
            work.Stringer(
                id=one.code,
                pace=one.pace_override or one.pace,
                home=homes.get(one.home_machine_id or -1),
                windows=minutes(windows[one.id]),
            )
            for one in people
        ),
        machines=tuple(work.Machine(id=one.code, kind=one.kind, windows=minutes(service[one.id])) for one in machines),
    )


def team_of(words: TeamWords, planned: Team, days: Sequence[DayHours]) -> Team:
    """Return the team of these words: the planned people and machines first, then others at house pace."""
    n_people = (len(planned.stringers) if words.people is None else words.people) + words.more_people
    default = len(planned.machines) + words.more_machines
    n_machines = max(default, n_people if words.people is not None else 0) if words.machines is None else words.machines
    if max(n_people, n_machines) > MOST:
        raise TradeError(f'"{words.said}" is too many', "Team", f"At most {MOST} stringers and machines are rehearsed.")
    machines = list(planned.machines[: max(0, n_machines)])
    kind = machines[0].kind if machines else None
    machines += [work.Machine(id=f"more-{i + 1}", kind=kind) for i in range(len(machines), n_machines)]
    people = []
    for i in range(max(0, n_people)):
        known = planned.stringers[i] if i < len(planned.stringers) else None
        own_hours = words.people is None and known is not None
        windows = known.windows if own_hours and known is not None else tuple(shifts_of(words, i, days))
        name, pace = (f"new-{i + 1}", 100) if known is None else (known.id, known.pace)
        people.append(work.Stringer(id=name, pace=pace, home=None, windows=windows))
    return Team(name=words.said, stringers=_at_home(people, planned, machines), machines=tuple(machines))


def _at_home(people: list[work.Stringer], planned: Team, machines: list[work.Machine]) -> tuple[work.Stringer, ...]:
    """Give everybody the planned home machine while it is there, the others a machine that is left."""
    there = [machine.id for machine in machines]
    homes = {one.id: one.home for one in planned.stringers if one.home in there}
    left = [name for name in there if name not in set(homes.values())]
    found = []
    for one in people:
        home = homes.get(one.id) or (left.pop(0) if left else None)
        found.append(replace(one, home=home))
    return tuple(found)
