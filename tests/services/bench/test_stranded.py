"""A racquet whose stringer falls sick or whose machine dies asks what becomes of it."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job, Mishap
from desk.queries.plan.stranded import stranded
from desk.services.bench import jobs
from desk.services.bench.stranded import cut_out, hand_on
from desk.services.machines import machines
from desk.services.team import team
from tests import make
from tests.services.small_desk import SmallDesk

NOW, LATER = make.acting("Mon 12:00"), make.acting("Mon 12:10")


def _begun(session: Session, desk: SmallDesk) -> Job:
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    return jobs.start_job(session, desk.event.id, job.id, acting=NOW, **desk.bench())


def test_nothing_is_asked_while_somebody_works_on_it(session: Session, desk: SmallDesk) -> None:
    _begun(session, desk)
    assert stranded(session, desk.event, LATER.at) == []


def test_a_sick_stringer_s_racquet_can_be_finished_by_another(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    team.call_in_absent(session, desk.event.id, desk.stringers[0].id, acting=LATER, reason="sick")
    (row,) = stranded(session, desk.event, LATER.at)
    second = desk.stringers[1]
    assert (row.job_id, row.why, row.others) == (
        job.id,
        f"{desk.stringers[0].name} is away",
        ((second.id, second.name),),
    )
    hand_on(session, desk.event.id, job.id, second.id, acting=LATER)
    assert (job.state, job.stringer_id) == ("on_machine", second.id)
    assert stranded(session, desk.event, LATER.at) == []


def test_a_dead_machine_s_racquet_is_cut_out_and_waits(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    machines.take_out_of_service(session, desk.event.id, desk.machines[0].id, acting=LATER, reason="belt")
    (row,) = stranded(session, desk.event, LATER.at)
    assert (row.why, row.others) == (f"{desk.machines[0].name} is out", ())
    cut_out(session, desk.event.id, job.id, acting=LATER)
    assert (job.state, job.started_at, job.machine_id) == ("waiting", None, None)
    (noted,) = session.scalars(select(Mishap))
    assert (noted.kind, noted.job_id, noted.closed_at) == ("cut_out", job.id, None)
    assert noted.note.startswith(f"{desk.machines[0].name} went out of service under it. Book the string")
    assert job.late_why == f"It was cut out and is strung anew: {desk.machines[0].name} went out of service under it."
    with pytest.raises(Conflict, match="not on a machine"):
        cut_out(session, desk.event.id, job.id, acting=LATER)


def test_only_who_is_at_work_and_may_string_it_is_offered(session: Session, desk: SmallDesk) -> None:
    job = _begun(session, desk)
    first, second = desk.stringers
    team.call_in_absent(session, desk.event.id, first.id, acting=LATER, reason="sick")

    def offered() -> tuple[tuple[int, str], ...]:
        session.flush()
        (row,) = stranded(session, desk.event, LATER.at)
        return row.others

    assert offered() == ((second.id, second.name),)
    job.card.mains_string.material, second.strings_gut = "natural_gut", False
    assert offered() == ()
    second.strings_gut, second.shifts = True, []
    assert offered() == ()
