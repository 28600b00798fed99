"""A store with one reel, and racquets with their places in a plan."""

from dataclasses import dataclass, field
from datetime import timedelta

from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, PlanRun, Player, Reel, Stringer, StringType
from desk.services.string import string_use
from tests import make
from tests.make import acting, moment

# 98 sq in, 16 mains by 19 crosses, as the factories make it.
BED_M = 11.21


@dataclass
class PlannedStore:
    """An event with a plan in force, one string and a reel of it."""

    session: Session
    event: Event
    string: StringType
    reel: Reel
    run: PlanRun
    stringer: Stringer
    machine: Machine
    players: list[Player] = field(default_factory=list)

    def planned(self, at: str | None, *, player: Player | None = None, **over: object) -> Job:
        job = make.make_job(self.session, player or self.players[0], **over)
        if at is not None:
            start = moment(at)
            place = {"stringer_id": self.stringer.id, "machine_id": self.machine.id}
            times = {"start_at": start, "end_at": start + timedelta(minutes=22)}
            self.session.add(Assignment(run_id=self.run.id, job_id=job.id, **place, **times))
            self.session.flush()
        return job

    def strung(self, **over: object) -> None:
        """Let a racquet have taken 6 and 5 m, as measured, and have gone."""
        job = self.planned(None, state="handed_over", **over)
        string_use.use_for_job(self.session, self.event, job, acting=acting(), used=make.cut(6, 5))


def planned_store(session: Session, *, metres: float = 200.0, days: int = 3) -> PlannedStore:
    event = make.make_event(session, days=days)
    string = make.make_string(session, event)
    reel = make.make_reel(session, string, metres=metres, code="R1")
    run = PlanRun(
        event_id=event.id,
        made_at=moment("Mon 09:00"),
        change_number=1,
        status="feasible",
        total=0,
        bound=0,
        seconds=0.1,
        costs={},
        unplaced=[],
    )
    session.add(run)
    session.flush()
    event.current_run_id = run.id
    stringer, machine = make.make_stringer(session, event), make.make_machine(session, event)
    return PlannedStore(session, event, string, reel, run, stringer, machine, [make.make_player(session, event)])
