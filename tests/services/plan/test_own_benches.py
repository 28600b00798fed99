"""The first plan with a racquet of a player says whose the player is, and that stays."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Job, Player, Stringer
from desk.queries.plan.own_bench import own_bench
from desk.queries.plan.workloads import build_moment
from desk.services.bench import jobs
from desk.services.plan.own_benches import set_own_bench
from desk.services.plan.plan_runs import store_plan
from desk.services.plan.planning import Effort, read_moment, solve
from desk.services.team import team
from tests import make
from tests.services.small_desk import ALL_CHECKED, SmallDesk

moment, acting = make.moment, make.acting


def _plan(session: Session, desk: SmallDesk, at: str) -> None:
    found = read_moment(session, desk.event.id, moment(at))
    plan, reasons = solve(found, Effort(seconds=5, steps=80))
    store_plan(session, desk.event.id, found, plan, reasons, at=moment(at))


def _racquet(session: Session, desk: SmallDesk, number: int = 0, **over: object) -> Job:
    return make.make_job(session, desk.player, racquet=desk.racquets[number], **over)


def _own(session: Session, desk: SmallDesk) -> tuple[int | None, str]:
    found = own_bench(session, desk.event, desk.player.id)
    return found.stringer_id, found.why


def test_the_first_plan_chooses_and_later_ones_know_it_before_anything_is_strung(
    session: Session, desk: SmallDesk
) -> None:
    _racquet(session, desk, pinned_stringer_id=desk.stringers[1].id)
    _plan(session, desk, "Mon 12:00")
    assert _own(session, desk) == (desk.stringers[1].id, "first")
    history = build_moment(session, desk.event, moment("Mon 12:01")).workload.history[desk.player.code]
    assert history.stringers == (desk.stringers[1].code,)
    assert history.machines == (desk.machines[1].code,)


def test_a_later_plan_with_another_stringer_does_not_change_it(session: Session, desk: SmallDesk) -> None:
    job = _racquet(session, desk, pinned_stringer_id=desk.stringers[1].id)
    _plan(session, desk, "Mon 12:00")
    job.pinned_stringer_id = desk.stringers[0].id
    _plan(session, desk, "Mon 12:10")
    jobs.start_job(session, desk.event.id, job.id, acting=acting("Mon 12:10"), **desk.bench())
    jobs.finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=acting("Mon 12:30"))
    _racquet(session, desk, 1)
    _plan(session, desk, "Mon 12:40")
    assert _own(session, desk) == (desk.stringers[1].id, "first")


def test_one_from_the_court_says_nothing_of_whose_the_player_is(session: Session, desk: SmallDesk) -> None:
    _racquet(session, desk, on_court=True)
    _plan(session, desk, "Mon 12:00")
    assert _own(session, desk) == (None, "")


def test_the_lead_changes_it_and_leaves_it_to_the_plan_again(session: Session, desk: SmallDesk) -> None:
    _racquet(session, desk, pinned_stringer_id=desk.stringers[1].id)
    _plan(session, desk, "Mon 12:00")
    set_own_bench(session, desk.event.id, desk.player.id, desk.stringers[0].id, None, acting=acting())
    assert _own(session, desk) == (desk.stringers[0].id, "lead")
    set_own_bench(session, desk.event.id, desk.player.id, None, None, acting=acting())
    assert session.get_one(Player, desk.player.id).first_stringer_id is None


@pytest.mark.parametrize("back", [None, "Mon 15:00"])
def test_who_left_keeps_nobody_whom_another_strings_for(session: Session, desk: SmallDesk, back: str | None) -> None:
    first, second = desk.stringers
    job = _racquet(session, desk, pinned_stringer_id=first.id)
    _plan(session, desk, "Mon 12:00")
    until = None if back is None else moment(back)
    team.call_in_absent(session, desk.event.id, first.id, acting=acting("Mon 12:05"), back_at=until)
    job.pinned_stringer_id = None
    _plan(session, desk, "Mon 12:06")
    assert _own(session, desk) == (first.id, "first")
    bench = {"stringer_id": second.id, "machine_id": desk.machines[1].id}
    jobs.start_job(session, desk.event.id, job.id, acting=acting("Mon 12:10"), **bench)
    _plan(session, desk, "Mon 12:11")
    assert session.get_one(Stringer, _own(session, desk)[0]).name == (second.name if back is None else first.name)
