"""The plan's screens: every stringer and racquet, how it was made, and holds."""

import re

import solver
from desk.models import QUICK, Event, PlanRun
from desk.queries.plan.plan_changes import compare, plan_in_force
from desk.queries.plan.workloads import build_moment
from desk.services.machines import machines
from desk.services.plan.planning import Effort, plan_event
from solver import warm_up
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import jobs_of


def test_the_plan_shows_every_stringer_and_racquet(house: House, desk: SmallDesk) -> None:
    text = house.as_role("lead").get("/plan").text
    assert all(one.name in text for one in desk.stringers)
    assert text.count(f"/plan/racquet/{jobs_of(house)[0].id}") == 1
    assert "Nothing: every racquet has its place." in text


def test_a_row_names_its_machine_for_a_move_as_long_as_it_is_in_service(house: House, desk: SmallDesk) -> None:
    def rows() -> list[tuple[str, ...]]:
        text = house.as_role("lead").get("/plan").text
        return re.findall(r'data-stringer="(\d+)" data-machine="(\d+)"', text)

    homes = [(str(one.id), str(one.home_machine_id)) for one in desk.stringers]
    assert rows() == homes

    def take_out(session, event: Event) -> None:
        machines.take_out_of_service(session, event.id, desk.machines[1].id, acting=make.acting(), reason="belt")

    house.write(take_out)
    assert rows() == [homes[0], (homes[1][0], "0")]


def test_a_plan_that_nobody_began_is_compared_as_of_now(house: House, desk: SmallDesk) -> None:
    with house.database.reading() as session:
        event = session.get_one(Event, house.event_id)
        moment = build_moment(session, event, make.moment("Mon 12:10"))
        before = plan_in_force(moment)
    assert min(one.start for one in before.assignments) == moment.workload.now
    again = solver.make_plan(moment.workload, seconds=5, steps=50, previous=moment.previous)
    assert compare(moment, before, moment.workload, again).worse == ()


def test_a_plan_of_the_quick_rules_says_so_until_a_better_one_is_there(house: House, desk: SmallDesk) -> None:
    def call_it_quick(session, event: Event) -> None:
        session.get_one(PlanRun, event.current_run_id).status = QUICK

    house.write(call_it_quick)
    client = house.as_role("lead")
    assert "Planned by a quick rule at 12:00 while the planner gets ready" in client.get("/plan").text
    tag = client.get("/plan/board", headers={"X-Fragment": "1"}).headers["ETag"]
    warm_up()
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    text = client.get("/plan/board", headers={"X-Fragment": "1", "If-None-Match": tag}).text
    assert "Made at 12:00." in text and "quick rule" not in text


def test_an_unchanged_plan_is_not_sent_again(house: House, desk: SmallDesk) -> None:
    client = house.as_role("lead")
    tag = client.get("/plan/board", headers={"X-Fragment": "1"}).headers["ETag"]
    assert client.get("/plan/board", headers={"X-Fragment": "1", "If-None-Match": tag}).status_code == 304


def test_a_hold_needs_a_reason(house: House, desk: SmallDesk) -> None:
    client, job = house.as_role("desk"), jobs_of(house)[0]
    assert client.post(f"/plan/racquet/{job.id}/hold", data={"reason": ""}).status_code == 422
    assert client.post(f"/plan/racquet/{job.id}/hold", data={"reason": "grommet"}).status_code == 303
    assert jobs_of(house)[0].state == "held"
    client.post(f"/plan/racquet/{job.id}/release")
    assert jobs_of(house)[0].state == "waiting"


def test_a_racquet_held_for_damage_is_released_where_somebody_says_that_the_frame_is_whole(
    house: House, desk: SmallDesk
) -> None:
    client, job = house.as_role("desk"), jobs_of(house)[0]
    client.post(f"/plan/racquet/{job.id}/hold", data={"reason": "no crack seen, owner asked"})
    assert "Looked at again: the frame is not cracked" in client.get(f"/plan/racquet/{job.id}").text
    assert "Is the frame cracked" in client.post(f"/plan/racquet/{job.id}/release").text
    assert jobs_of(house)[0].state == "held"
    client.post(f"/plan/racquet/{job.id}/release", data={"frame_is_whole": "y"})
    assert jobs_of(house)[0].state == "waiting"
