"""A day with rain, a dead machine and a sick stringer, played on the records with the real services."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import exp
from random import Random

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, Match, PlanRun, Stringer
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.bench import jobs
from desk.services.machines import machines
from desk.services.plan.plan_runs import store_plan
from desk.services.plan.planning import read_moment
from desk.services.play import play, play_stops
from desk.services.team import team
from solver.contract import workload as work
from tests.make import make_court, make_event, make_job, make_machine, make_match, make_player, make_stringer, moment
from tests.services.promise.played_promises import searched_plan

MINUTE = timedelta(minutes=1)
STEPS, HINDSIGHT_STEPS = 400, 200_000
COURTS, MATCHES, RACQUETS = 3, 3, 2
TOO_LATE = 172
"""Minutes after eight at which one player comes with racquets for the match at eleven."""
RAIN, RAIN_OVER = moment("Mon 13:00"), moment("Mon 14:30")
MACHINE_DIES, STRINGER_SICK = moment("Mon 11:10"), moment("Mon 12:05")


@dataclass
class Seen:
    """What one plan said, against what was on the machines then."""

    forgotten: set[int] = field(default_factory=set)
    moved: set[int] = field(default_factory=set)


class BadDay:
    """Three benches, nine matches on three courts, 36 racquets; the day goes as its seed says."""

    def __init__(self, database: Database, seed: int) -> None:
        self.database, self.random = database, Random(seed)
        self.seen = Seen()
        self.real_end: dict[int, datetime] = {}
        self.bench_minutes: dict[int, float] = {}
        self.match_minutes: dict[int, int] = {}
        self.open_since: dict[int, datetime] = {}
        with database.writing() as session:
            event = make_event(session, days=1, calibration_required=False)
            self.event_id = event.id
            self._benches(session, event)
            self._order_of_play(session, event)

    def _benches(self, session: Session, event: Event) -> None:
        benches = [make_machine(session, event) for _ in range(4)]
        people = [make_stringer(session, event, home_machine_id=machine.id) for machine in benches[:3]]
        self.dead_machine_id, self.sick_stringer_id = benches[0].id, people[2].id

    def _order_of_play(self, session: Session, event: Event) -> None:
        for _ in range(COURTS):
            court = make_court(session, event)
            for number in range(MATCHES):
                pair = [make_player(session, event) for _ in range(2)]
                start = None if number else "at 11:00"
                match = make_match(session, court, day=event.days[0], players=pair, start=start)
                self.match_minutes[match.id] = self.random.randrange(60, 150)
                for player in pair:
                    # Nobody can have this one's racquets ready for 11:00.
                    too_late = number == 0 and court.name.endswith("2") and player is pair[0]
                    minute = TOO_LATE if too_late else self.random.randrange(60 * number, 90 + 75 * number)
                    dropped_at = moment("Mon 08:00") + minute * MINUTE
                    for _ in range(RACQUETS):
                        job = make_job(session, player, state="cancelled", dropped_at=dropped_at, house_minutes=22)
                        self.open_since[job.id] = dropped_at
                        self.bench_minutes[job.id] = 22 * exp(self.random.gauss(0, 0.15))

    def play(self) -> None:
        with self.database.writing() as session:
            for minute in range(14 * 60):
                now = moment("Mon 08:00") + minute * MINUTE
                if self._live(session, now):
                    self._plan(session, now)
                    self._look_at_plan(session)
                self._start_jobs(session, now)

    def _plan(self, session: Session, now: datetime) -> None:
        found = read_moment(session, self.event_id, now)
        plan = searched_plan(found.workload, found.previous, steps=STEPS)
        store_plan(session, self.event_id, found, plan, {}, at=now)

    def _live(self, session: Session, now: datetime) -> bool:
        """Let everything of this minute happen; tell whether a new plan is wanted."""
        event = session.get_one(Event, self.event_id)
        before = event.change_number
        self._arrivals(session, event, now)
        self._finish_jobs(session, event, now)
        self._incidents(session, now)
        self._matches(session, now)
        session.flush()
        return event.change_number != before

    def _arrivals(self, session: Session, event: Event, now: datetime) -> None:
        for job_id, at in self.open_since.items():
            if at == now:
                session.get_one(Job, job_id).state = "waiting"
                event.change_number += 1

    def _finish_jobs(self, session: Session, event: Event, now: datetime) -> None:
        for job_id in [job_id for job_id, end in self.real_end.items() if end <= now]:
            job = session.get_one(Job, job_id)
            if job.state == "on_machine":
                job.state, job.finished_at = "strung", now
                event.change_number += 1

    def _incidents(self, session: Session, now: datetime) -> None:
        acting = Acting(by="lead", at=now)
        if now == MACHINE_DIES:
            machines.take_out_of_service(session, self.event_id, self.dead_machine_id, acting=acting, reason="dead")
        if now == STRINGER_SICK:
            team.call_in_absent(session, self.event_id, self.sick_stringer_id, acting=acting)
        if now == RAIN:
            play_stops.stop_play(session, self.event_id, acting=acting)
        if now == RAIN + 15 * MINUTE:
            play_stops.resume_play(session, self.event_id, acting=acting, resumes_at=RAIN_OVER)
        if now == RAIN_OVER:
            play_stops.resume_play(session, self.event_id, acting=acting)

    def _matches(self, session: Session, now: datetime) -> None:
        if RAIN <= now < RAIN_OVER:
            return
        acting = Acting(by="desk", at=now)
        found = session.scalars(select(Match).where(Match.event_id == self.event_id).order_by(Match.position)).all()
        for match in found:
            if match.state == "on_court" and self._ends_at(match) <= now:
                play.finish_match(session, self.event_id, match.id, acting=acting, winner_side=1)
            elif match.state == "scheduled" and self._may_start(match, found, now):
                play.start_match(session, self.event_id, match.id, acting=acting)

    def _ends_at(self, match: Match) -> datetime:
        assert match.started_at is not None
        end = match.started_at + self.match_minutes[match.id] * MINUTE
        return end + (RAIN_OVER - RAIN) if match.started_at < RAIN < end else end

    def _may_start(self, match: Match, matches: list[Match], now: datetime) -> bool:
        if match.position == 1:
            return now >= moment("Mon 11:00")
        before = next(m for m in matches if m.court_id == match.court_id and m.position == match.position - 1)
        return before.ended_at is not None and now >= before.ended_at + 20 * MINUTE

    def _start_jobs(self, session: Session, now: datetime) -> None:
        event = session.get_one(Event, self.event_id)
        rows = session.scalars(
            select(Assignment)
            .join(Job, Job.id == Assignment.job_id)
            .where(Assignment.run_id == event.current_run_id, Assignment.start_at <= now, Job.state == "waiting")
            .order_by(Assignment.start_at)
        ).all()
        running = session.scalars(select(Job).where(Job.event_id == event.id, Job.state == "on_machine")).all()
        busy = {job.stringer_id for job in running} | {-(job.machine_id or 0) for job in running}
        for row in rows:
            if not busy & {row.stringer_id, -row.machine_id}:
                ids = {"stringer_id": row.stringer_id, "machine_id": row.machine_id}
                jobs.start_job(session, event.id, row.job_id, acting=Acting(by="bench", at=now), **ids)
                busy |= {row.stringer_id, -row.machine_id}
                self.real_end[row.job_id] = now + round(self.bench_minutes[row.job_id]) * MINUTE

    def _look_at_plan(self, session: Session) -> None:
        event = session.get_one(Event, self.event_id)
        run = session.get_one(PlanRun, event.current_run_id)
        places = {row.job_id: row for row in run.assignments}
        open_jobs = select(Job).where(Job.event_id == event.id, Job.state.in_(("waiting", "on_machine")))
        for job in session.scalars(open_jobs):
            place = places.get(job.id)
            if place is None and f"J{job.serial:04d}" not in run.unplaced:
                self.seen.forgotten.add(job.id)
            if job.state == "on_machine" and place is not None:
                at = (place.stringer_id, place.machine_id, place.start_at)
                if at != (job.stringer_id, job.machine_id, job.started_at):
                    self.seen.moved.add(job.id)


def minutes_late(session: Session, event_id: int) -> dict[str, int]:
    """Return, by the job's name, how long after the start of its match each racquet was ready (0: in time)."""
    found = select(Job, Match.started_at).join(Match, Match.id == Job.match_id).where(Job.event_id == event_id)
    late = {}
    for job, started_at in session.execute(found):
        assert job.finished_at is not None
        late[f"J{job.serial:04d}"] = max(0, (job.finished_at - started_at) // MINUTE)
    return late


def hindsight(session: Session, day: BadDay) -> dict[str, int]:
    """Return the same of a plan made with everything known: bench times, match starts, rain, machine, stringer."""
    origin = moment("Mon 00:00")

    def minute(at: datetime) -> int:
        return (at - origin) // MINUTE

    people = session.scalars(select(Stringer).where(Stringer.event_id == day.event_id)).all()
    benches = session.scalars(select(Machine).where(Machine.event_id == day.event_id)).all()
    found = session.execute(
        select(Job, Match.started_at).join(Match, Match.id == Job.match_id).where(Job.event_id == day.event_id)
    ).all()
    known = work.Workload(
        now=480,
        stringers=tuple(
            work.Stringer(
                id=str(one.id), windows=((480, minute(STRINGER_SICK) if one.id == day.sick_stringer_id else 1260),)
            )
            for one in people
        ),
        machines=tuple(
            work.Machine(
                id=str(one.id), windows=((0, minute(MACHINE_DIES) if one.id == day.dead_machine_id else 1440),)
            )
            for one in benches
        ),
        jobs=tuple(
            work.Job(
                id=f"J{job.serial:04d}",
                player=str(job.player_id),
                minutes=round(day.bench_minutes[job.id]),
                ready_from=minute(job.dropped_at),
                due=minute(started_at),
                weight=20,
            )
            for job, started_at in found
        ),
    )
    plan = searched_plan(known, None, steps=HINDSIGHT_STEPS)
    due = {job.id: job.due or 0 for job in known.jobs}
    return {place.job: max(0, place.end - due[place.job]) for place in plan.assignments}
