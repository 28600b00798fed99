"""One stringer at one machine, to promise racquets at."""

from typing import Any

from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, PlanRun, Promise
from desk.queries.promise.promises_so_far import promises_so_far
from desk.services.promise import promises
from desk.trade.bench.promise import Told
from tests.make import acting, make_event, make_job, make_machine, make_player, make_stringer, moment


def told(session: Session, event: Event, end: str, jobs_ahead: int) -> Told:
    return promises_so_far(session, event).tell(moment(end), jobs_ahead=jobs_ahead, minutes=22, needed_by_at=None)


class OneBench:
    """One stringer at one machine, and a plan of their racquets."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.event: Event = make_event(session)
        self.player = make_player(session, self.event, name="A")
        self.stringer = make_stringer(session, self.event)
        self.machine = make_machine(session, self.event)

    def job(self, **over: Any) -> Job:
        return make_job(self.session, self.player, **over)

    def plan(self, places: list[tuple[Job, str, str]], **over: Any) -> None:
        """Put a plan in force: each job with its start and end on the first day."""
        values: dict[str, Any] = {
            "made_at": moment("Mon 12:00"),
            "change_number": self.event.change_number,
            "status": "feasible",
            "total": 0,
            "bound": 0,
            "seconds": 0.1,
            "costs": {},
            "unplaced": [],
            "reasons": {},
        }
        run = PlanRun(event_id=self.event.id, **(values | over))
        self.session.add(run)
        self.session.flush()
        for job, start, end in places:
            self.session.add(
                Assignment(
                    run_id=run.id,
                    job_id=job.id,
                    stringer_id=self.stringer.id,
                    machine_id=self.machine.id,
                    start_at=moment(f"Mon {start}"),
                    end_at=moment(f"Mon {end}"),
                )
            )
        self.event.current_run_id = run.id
        self.event.planned_change_number = self.event.change_number
        self.session.flush()

    def promise(self, job: Job, text: str, at: str = "Mon 12:00", reason: str = "") -> Promise:
        ready = told(self.session, self.event, "Mon 13:00", 1).at(moment(f"Mon {text}"))
        return promises.give_promise(self.session, self.event, job, ready, acting=acting(at), reason=reason)
