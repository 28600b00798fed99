"""The records of one moment as a workload for the solver, and the keys to read its plan back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import Row, select
from sqlalchemy.orm import Session, joinedload

import solver
from desk.models import Assignment, Event, Job, JobCard, Machine, PlanRun, Player, Racquet, Stringer
from desk.queries.bench.bench_times import learned_times
from desk.queries.event.event_days import day_spans
from desk.queries.machines.machines import usable_windows
from desk.queries.machines.readings_due import NOT_DUE, ReadingsDue, readings_due
from desk.queries.plan.kept_order import names_after, waiting_of
from desk.queries.plan.own_bench import own_benches
from desk.queries.plan.who_may import begun_today, within_most
from desk.queries.plan.workload_jobs import Codes, JobRows
from desk.queries.play.play_records import clock_of
from desk.queries.spans import Span, without
from desk.queries.team.team import work_windows
from desk.trade.bench.kept_places import plan_name
from desk.trade.bench.promise import HOUSE_MINUTES
from desk.trade.event.event_time import EventClock
from solver.contract import workload as work

PROMISE_POINTS, STALE_POINTS = 20, 3_000
"""What a minute past a promise costs, and a start before the string would be fresh. At 100 promises pull benches from
racquets that a match waits for, below 20 they are not kept (played days, DEVELOPERS.md). Waiting for two days costs
2 880: at 400 what the next morning needs was strung on the afternoon before, the morning empty."""


@dataclass(frozen=True, kw_only=True)
class RacquetName:
    """A racquet of the plan as a screen names it: player and number before the tag."""

    job_id: int
    code: str
    player: str
    number: int


@dataclass(frozen=True, kw_only=True)
class MostADay:
    """The most racquets of a day of one stringer: what of it is begun, in words, and the hours that it takes away."""

    words: str
    cut: tuple[Span, ...]


@dataclass(frozen=True, kw_only=True)
class PlanKeys:
    """Ids of the records behind the ids in a workload, and how the desk says them.

    `limits` says by a racquet that nobody may string it, `most` by a stringer what the day's most takes away.
    """

    stringers: Mapping[str, int]
    machines: Mapping[str, int]
    jobs: Mapping[str, int]
    racquets: Mapping[str, RacquetName]
    spoken: Mapping[str, str]
    team: Sequence[Stringer] = ()
    limits: Mapping[str, str] = field(default_factory=dict)
    most: Mapping[str, MostADay] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Moment:
    """A workload with what it takes to store or show its plan; what comes later is behind those kept next."""

    workload: solver.Workload
    keys: PlanKeys
    clock: EventClock
    change_number: int
    previous: solver.Plan | None
    kept_next: tuple[str, ...] = ()
    readings: ReadingsDue = NOT_DUE


def build_moment(session: Session, event: Event, at: datetime) -> Moment:
    """Return the workload of the event at the moment AT, in a fixed number of SQL statements."""
    clock = clock_of(session, event)
    now = clock.to_minutes(at)
    stringers = _stringers(session, event, clock, at)
    machines = _machines(session, event, clock, at)
    codes = {"stringer": {s_id: s.id for s_id, s in stringers.items()}}
    codes["machine"] = {m_id: m.id for m_id, m in machines.items()}
    rows = _open_jobs(session, event)
    team = session.scalars(select(Stringer).where(Stringer.event_id == event.id).order_by(Stringer.position)).all()
    waiting = waiting_of(job for job, _, _ in rows)
    jobs = JobRows(session, event, clock, now, codes, team, names_after(waiting))
    workload = solver.Workload(
        name=event.slug,
        now=max(0, now),
        target_minutes=event.target_minutes,
        spread=learned_times(session, event).spread_per_cent,
        points=solver.Points(promise=PROMISE_POINTS, stale=STALE_POINTS),
        stringers=tuple(stringers.values()),
        machines=tuple(machines.values()),
        jobs=tuple(jobs.as_solver_job(job, player.code) for job, player, _ in rows),
        history=history_of(session, event, codes, {player.id: player.code for _, player, _ in rows}),
    )
    racquets = {
        job.plan_name: RacquetName(job_id=job.id, code=job.code, player=player.called, number=number)
        for job, player, number in rows
    }
    keys = PlanKeys(
        stringers={s.id: s_id for s_id, s in stringers.items()},
        machines={m.id: m_id for m_id, m in machines.items()},
        jobs={name: one.job_id for name, one in racquets.items()},
        racquets=racquets,
        spoken=_spoken(session, event) | {n: f"racquet {one.number} of {one.player}" for n, one in racquets.items()},
        team=team,
        limits=jobs.nobody,
        most=most_begun(session, event, at),
    )
    previous = _previous_plan(session, event, clock, codes)
    return Moment(
        workload=workload,
        keys=keys,
        clock=clock,
        change_number=event.change_number,
        previous=previous,
        kept_next=tuple(plan_name(one.serial) for one in waiting if one.place is not None and one.place.is_next),
        readings=readings_due(session, event, at),
    )


def _spoken(session: Session, event: Event) -> dict[str, str]:
    people = session.execute(select(Stringer.code, Stringer.name).where(Stringer.event_id == event.id))
    benches = session.execute(select(Machine.code, Machine.name).where(Machine.event_id == event.id))
    return dict(people.all()) | dict(benches.all())


def _open_jobs(session: Session, event: Event) -> Sequence[Row[tuple[Job, Player, int]]]:
    found = (
        select(Job, Player, Racquet.number)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Job.event_id == event.id, Job.state.in_(("waiting", "on_machine")))
        .options(joinedload(Job.card).options(joinedload(JobCard.mains_string), joinedload(JobCard.crosses_string)))
        .order_by(Job.serial)
    )
    return session.execute(found).all()


def _minute_spans(clock: EventClock, spans: Sequence[Span], now: int) -> tuple[tuple[int, int], ...]:
    found = ((max(0, clock.to_minutes(from_at)), clock.to_minutes(to_at)) for from_at, to_at in spans)
    return tuple((start, end) for start, end in found if end > max(start, now))


def _stringers(session: Session, event: Event, clock: EventClock, at: datetime) -> dict[int, work.Stringer]:
    windows, now = work_windows(session, event, at), clock.to_minutes(at)
    begun = begun_today(session, event, at)
    days = [(day.from_at, day.to_at) for day in day_spans(session, event) if day.to_at > at]
    home = {row.id: row.code for row in session.execute(select(Machine.id, Machine.code))}
    people = session.scalars(select(Stringer).where(Stringer.event_id == event.id).order_by(Stringer.position))
    return {
        person.id: work.Stringer(
            id=person.code,
            pace=person.pace_override or person.pace,
            home=home.get(person.home_machine_id) if person.home_machine_id else None,
            windows=_minute_spans(clock, _hours(person, windows.get(person.id, ()), at, begun, days), now),
        )
        for person in people
    }


def _hours(
    person: Stringer, windows: Sequence[Span], at: datetime, begun: Mapping[int, int], days: Sequence[Span]
) -> list[Span]:
    """Return the hours of a stringer from AT on, as far as the most racquets of a day go."""
    if person.most_a_day is None:
        return list(windows)
    ahead = [(max(start, at), end) for start, end in windows if end > at]
    minutes = HOUSE_MINUTES * (person.pace_override or person.pace) / 100
    return within_most(ahead, person.most_a_day, begun.get(person.id, 0), minutes, list(days))


def most_begun(session: Session, event: Event, at: datetime) -> dict[str, MostADay]:
    """Return whose hours the most racquets of a day shorten, by code."""
    limited = select(Stringer).where(Stringer.event_id == event.id, Stringer.most_a_day.is_not(None))
    people = session.scalars(limited.order_by(Stringer.position)).all()
    if not people:
        return {}
    windows, begun = work_windows(session, event, at), begun_today(session, event, at)
    days = [(day.from_at, day.to_at) for day in day_spans(session, event) if day.to_at > at]
    found = {}
    for one in people:
        ahead = without(windows.get(one.id, ()), [(datetime.min.replace(tzinfo=at.tzinfo), at)])
        cut = without(ahead, _hours(one, ahead, at, begun, days))
        if cut:
            words = f"has begun {begun.get(one.id, 0)} of at most {one.most_a_day} today"
            found[one.code] = MostADay(words=words, cut=tuple(cut))
    return found


def _machines(session: Session, event: Event, clock: EventClock, at: datetime) -> dict[int, work.Machine]:
    windows, now = usable_windows(session, event, at), clock.to_minutes(at)
    found = session.scalars(select(Machine).where(Machine.event_id == event.id).order_by(Machine.position))
    return {
        machine.id: work.Machine(
            id=machine.code, kind=machine.kind, windows=_minute_spans(clock, windows.get(machine.id, ()), now)
        )
        for machine in found
    }


def history_of(session: Session, event: Event, codes: Codes, players: Mapping[int, str]) -> dict[str, work.History]:
    """Return each player's own stringer and machine, by the player's code."""
    own = own_benches(session, event, players, planned=False)
    return {
        code: work.History(
            stringers=_known(codes["stringer"], own[player_id].stringer_id),
            machines=_known(codes["machine"], own[player_id].machine_id),
        )
        for player_id, code in sorted(players.items(), key=lambda pair: pair[1])
        if player_id in own
    }


def _known(codes: Mapping[int, str], row_id: int | None) -> tuple[str, ...]:
    return (codes[row_id],) if row_id in codes else ()


def _previous_plan(session: Session, event: Event, clock: EventClock, codes: Codes) -> solver.Plan | None:
    if event.current_run_id is None:
        return None
    found = (
        select(Assignment.stringer_id, Assignment.machine_id, Assignment.start_at, Assignment.end_at, Job.serial)
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == event.current_run_id, Job.state.in_(("waiting", "on_machine")))
    )
    rows = tuple(
        solver.Assignment(
            job=plan_name(row.serial),
            stringer=codes["stringer"][row.stringer_id],
            machine=codes["machine"][row.machine_id],
            start=clock.to_minutes(row.start_at),
            end=clock.to_minutes(row.end_at),
        )
        for row in session.execute(found)
    )
    run = session.get_one(PlanRun, event.current_run_id)
    return solver.Plan(status="feasible", assignments=rows, unplaced=tuple(run.unplaced), costs={})
