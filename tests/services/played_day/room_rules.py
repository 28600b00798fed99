"""What a lead stringer would find fault with in a played event; each rule is common practice."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload, selectinload

from desk.models import Event, EventDay, Job, Machine, Stringer
from desk.queries.plan.workload_jobs import fresh_from_of
from desk.queries.spans import said, without
from desk.trade.play.needed_by import late_from

SPARE, A_LITTLE = timedelta(hours=3), timedelta(minutes=2)
BEFORE_OPENING = timedelta(hours=2)


class Room:
    """A played event: who strung what, when and where."""

    def __init__(self, session: Session, event: Event) -> None:
        self.event = event
        found = select(Job).where(Job.event_id == event.id, Job.finished_at.is_not(None)).order_by(Job.started_at)
        self.jobs = session.scalars(found.options(joinedload(Job.card), joinedload(Job.racquet))).all()
        people = select(Stringer).where(Stringer.event_id == event.id)
        self.people = {
            one.id: one
            for one in session.scalars(people.options(selectinload(Stringer.shifts), selectinload(Stringer.absences)))
        }
        benches = (
            select(Machine)
            .where(Machine.event_id == event.id)
            .options(selectinload(Machine.outages), selectinload(Machine.calibrations))
        )
        self.machines = {one.id: one for one in session.scalars(benches)}
        self.days = session.scalars(select(EventDay).where(EventDay.event_id == event.id).order_by(EventDay.date)).all()

    def bags(self) -> Iterator[list[Job]]:
        """Yield the racquets of each visit that did not come from a court, where there are several."""
        visits: dict[int, list[Job]] = defaultdict(list)
        for job in self.jobs:
            if not job.on_court:
                visits[job.drop_off_id].append(job)
        yield from (bag for bag in visits.values() if len(bag) > 1)

    def hours(self, stringer_id: int) -> list[tuple[datetime, datetime]]:
        person = self.people[stringer_id]
        return without([(one.from_at, one.to_at) for one in person.shifts], [said(one) for one in person.absences])


def _spare(job: Job) -> timedelta | None:
    """How long before it was needed a racquet was finished; None without a time."""
    assert job.finished_at is not None
    return None if job.needed_by_at is None else job.needed_by_at - job.finished_at


def split_visits(room: Room) -> list[str]:
    """A visit stays with one stringer where all its racquets have three hours to spare."""
    return [
        f"{[job.code for job in bag]} with {len({job.stringer_id for job in bag})} stringers"
        for bag in room.bags()
        if len({job.stringer_id for job in bag}) > 1 and all((s := _spare(job)) is None or s >= SPARE for job in bag)
    ]


def bags_of_two_kinds(room: Room) -> list[str]:
    """A bag plays from one kind of machine, unless a racquet would be late otherwise."""
    found = []
    for bag in room.bags():
        kinds = {room.machines[job.machine_id or 0].kind for job in bag}
        took = sum((job.finished_at - job.started_at for job in bag), timedelta())
        if len(kinds) > 1 and all((s := _spare(job)) is None or s >= took for job in bag):
            found.append(f"{[job.code for job in bag]} on {sorted(kinds)}")
    return found


def strung_too_early(room: Room) -> list[str]:
    """Nothing is strung before it is fresh enough while the morning that it is needed had room for it."""
    found = []
    played_to = max(job.finished_at for job in room.jobs)
    for job in room.jobs:
        fresh = fresh_from_of(room.event, job)
        if fresh is None or job.needed_by_at > played_to or job.started_at >= fresh:
            continue
        if room_before(room, job, fresh) < timedelta(hours=2):
            continue
        found.append(f"{job.code} strung {job.started_at:%d %H:%M}, fresh from {fresh:%d %H:%M}")
    return found


def room_before(room: Room, job: Job, fresh: datetime) -> timedelta:
    """The idle time of the job's own stringer between FRESH and when it was needed."""
    until = late_from(job.needed_by_at, job.latest_at)
    work = [(max(start, fresh), min(end, until)) for start, end in room.hours(job.stringer_id)]
    busy = [(one.started_at, one.finished_at) for one in room.jobs if one.stringer_id == job.stringer_id]
    idle = without([span for span in work if span[0] < span[1]], busy)
    return sum((end - start for start, end in idle), timedelta())


def slow_from_the_court(room: Room) -> list[str]:
    """One from the court begins at the first bench that comes free; several take the first benches among them."""
    found = []
    for job in room.jobs:
        if not job.on_court:
            continue
        free = sorted(_free_at(room, one, job) for one in room.people if _works(room, one, job))
        waiting = sum(
            other.on_court and other.id != job.id and job.dropped_at <= other.started_at <= job.started_at
            for other in room.jobs
        )
        if len(free) > waiting and job.started_at > free[waiting] + A_LITTLE:
            found.append(
                f"{job.code} came {job.dropped_at:%d %H:%M}, free {free[waiting]:%H:%M}, {job.started_at:%H:%M}"
            )
    return found


def _works(room: Room, stringer_id: int, job: Job) -> bool:
    need = timedelta(minutes=2 * job.house_minutes)
    return any(start <= job.dropped_at and job.dropped_at + need <= end for start, end in room.hours(stringer_id))


def _free_at(room: Room, stringer_id: int, job: Job) -> datetime:
    ends = [
        one.finished_at
        for one in room.jobs
        if one.stringer_id == stringer_id and one.started_at <= job.dropped_at < one.finished_at and one.id != job.id
    ]
    return max(ends, default=job.dropped_at)


def started_on_what_is_not_back(room: Room) -> list[str]:
    """Nothing starts on a machine that is out or with a stringer who is away, before somebody said otherwise."""
    found = []
    for job in room.jobs:
        away = [*room.people[job.stringer_id].absences, *room.machines[job.machine_id].outages]
        if any(start <= job.started_at < end for start, end in map(said, away)):
            found.append(f"{job.code} started {job.started_at:%d %H:%M}")
    return found


def started_without_a_reading(room: Room) -> list[str]:
    """Each day, and after each repair, a machine is read before its first racquet, where the event asks for it."""
    if not room.event.calibration_required:
        return []
    found = []
    for job in room.jobs:
        machine = room.machines[job.machine_id]
        opens = max(day.opens_at for day in room.days if day.opens_at <= job.started_at)
        back = [one.to_at for one in machine.outages if one.over and one.to_at <= job.started_at]
        since = max([opens - BEFORE_OPENING, *back])
        if not any(since <= one.at <= job.started_at for one in machine.calibrations):
            found.append(f"{job.code} on {machine.code} at {job.started_at:%d %H:%M}, not read since {since:%d %H:%M}")
    return found


RULES = (
    split_visits,
    bags_of_two_kinds,
    strung_too_early,
    slow_from_the_court,
    started_on_what_is_not_back,
    started_without_a_reading,
)
