"""One from the court goes to the first bench that comes free, whoever strings for the player else."""

from datetime import timedelta

from desk.models import Job
from desk.models.database import Database
from desk.queries.plan.workloads import build_moment
from desk.services.plan.planning import Effort, plan_event
from desk.trade.bench.bench_time import BenchCard, FinishedJob, HouseTable
from desk.trade.bench.pace import learned_spread
from tests import make
from tests.services.small_desk import small_desk


def test_it_goes_to_the_first_bench_that_comes_free(database: Database) -> None:
    at = make.moment("Mon 12:00")
    with database.writing() as session:
        desk = small_desk(session)
        event_id = desk.event.id
        desk.player.own_stringer_id = desk.stringers[0].id
        for number, ends in enumerate((25, 8)):
            make.make_job(
                session,
                make.make_player(session, desk.event),
                state="on_machine",
                stringer_id=desk.stringers[number].id,
                machine_id=desk.machines[number].id,
                started_at=at,
                expected_end_at=at + timedelta(minutes=ends),
            )
        waiting = {"dropped_at": at, "needed_by_kind": "time", "needed_by_at": at + timedelta(minutes=45)}
        for _ in range(2):
            make.make_job(session, make.make_player(session, desk.event), weight=10, **waiting)
        job = make.make_job(
            session, desk.player, on_court=True, house_minutes=15, weight=20, dropped_at=at,
            needed_by_at=at + timedelta(minutes=15),
        )  # fmt: skip
        name, second = job.plan_name, desk.stringers[1].code
    plan = plan_event(database, event_id, at=at, effort=Effort(seconds=5, steps=2000))
    place = plan.by_job()[name]
    assert (place.stringer, place.start) == (second, 12 * 60 + 8)


def test_its_player_counts_for_nothing_and_a_hand_still_decides(database: Database) -> None:
    at = make.moment("Mon 12:00")
    with database.writing() as session:
        desk = small_desk(session)
        job = make.make_job(session, desk.player, on_court=True, pinned_stringer_id=desk.stringers[1].id)
        made = build_moment(session, desk.event, at).workload.job_by_id[job.plan_name]
        assert made.player != desk.player.code
        assert made.pinned_stringer == desk.stringers[1].code
        assert isinstance(job, Job)


def test_the_spread_begins_at_fifteen_and_is_learned_from_finished_jobs() -> None:
    def spread(*minutes: float) -> int:
        return learned_spread([FinishedJob(BenchCard(), "1", one) for one in minutes], HouseTable(), {})

    assert spread() == 15
    assert spread(*[20.0] * 40) < 15 < spread(*[14.0, 28.0] * 40)
