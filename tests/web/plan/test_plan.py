"""The plan's screens: the board, a move with its price, holds, what is wrong, what if."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import select

import solver
from desk.models import QUICK, Absence, Event, Job, LogEntry, Machine, Outage, PlanRun, Promise, Stringer
from desk.queries.plan.kept_order import bench_order
from desk.queries.plan.plan_changes import compare, plan_in_force
from desk.queries.plan.workloads import build_moment
from desk.queries.play.play_records import clock_of
from desk.services.machines import machines
from desk.services.plan.planning import Effort, plan_event
from solver import warm_up
from tests import make
from tests.services.small_desk import SmallDesk, small_desk
from tests.web.conftest import House


@pytest.fixture
def desk(house: House) -> SmallDesk:
    """Three racquets of one player in the plan of two stringers, at 12:00."""
    from desk.services.counter.drop_offs import take_drop_off

    def fill(session, _event: Event) -> SmallDesk:
        found = small_desk(session)
        make.set_clock(found.event, "Mon 12:00")
        form = found.bag(3)
        take_drop_off(session, found.event.id, form, acting=make.acting("Mon 12:00"))
        return found

    found = house.write(fill)
    object.__setattr__(house, "event_id", found.event.id)
    plan_event(house.database, found.event.id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    return found


def jobs_of(house: House) -> list[Job]:
    return list(house.scalars(select(Job).where(Job.event_id == house.event_id).order_by(Job.id)))


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


def test_a_move_shows_before_and_after_and_is_not_kept_yet(house: House, desk: SmallDesk) -> None:
    client, job = house.as_role("lead"), jobs_of(house)[0]
    other = desk.stringers[1].id
    text = client.get(f"/plan/racquet/{job.id}?stringer_id={other}&machine_id=0").text
    assert all(word in text for word in ("Ready", "Stringer 1", "Stringer 2", "Keep it"))
    assert "points" not in text
    assert jobs_of(house)[0].pinned_stringer_id is None


def test_a_kept_move_is_a_pin_and_can_be_freed(house: House, desk: SmallDesk) -> None:
    client, job = house.as_role("lead"), jobs_of(house)[0]
    kept = client.post(f"/plan/racquet/{job.id}/keep", data={"stringer_id": desk.stringers[1].id, "machine_id": 0})
    assert (kept.status_code, jobs_of(house)[0].pinned_stringer_id) == (303, desk.stringers[1].id)
    client.post(f"/plan/racquet/{job.id}/free")
    assert jobs_of(house)[0].pinned_stringer_id is None
    texts = house.scalars(select(LogEntry.text).where(LogEntry.subject == "plan")).all()
    assert [text.split(" ", 1)[1] for text in texts] == ["pinned to Stringer 2", "is free to go anywhere again"]


def test_a_place_is_chosen_among_those_of_the_bench_and_kept(house: House, desk: SmallDesk) -> None:
    client, (first, second, third) = house.as_role("lead"), jobs_of(house)[:3]
    with house.database.reading() as session:
        event = session.get_one(Event, house.event_id)
        bench, order = _bench_of(session, event, [first.id, second.id, third.id])
    asked = {"stringer_id": bench, "machine_id": 0}
    text = client.get(f"/plan/racquet/{order[0].job_id}", query_string=asked | {"after_id": order[2].job_id}).text
    assert f"3rd, after {order[2].name} ({order[2].code})" in text and "Turn there" in text
    refused = client.post(f"/plan/racquet/{order[0].job_id}/keep", data=asked | {"after_id": order[0].job_id})
    assert refused.status_code == 422
    kept = client.post(f"/plan/racquet/{order[0].job_id}/keep", data=asked | {"after_id": order[2].job_id})
    assert kept.status_code == 303
    assert "Its place is kept by hand: 3rd, after" in client.get(f"/plan/racquet/{order[0].job_id}").text
    assert "kept 3rd, after" in client.get("/plan").text
    client.post(f"/plan/racquet/{order[0].job_id}/free")
    assert "kept 3rd" not in client.get("/plan").text


def _bench_of(session, event, job_ids):
    for stringer_id in session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)):
        order = bench_order(session, event, stringer_id)
        if {one.job_id for one in order} == set(job_ids):
            return stringer_id, order
    raise AssertionError("one bench has all three racquets")


def test_a_drag_into_the_night_names_the_fault(house: House, desk: SmallDesk) -> None:
    job, night = jobs_of(house)[0], make.moment("Mon 23:00")
    address = f"/plan/racquet/{job.id}?stringer_id={desk.stringers[0].id}&start={int(night.timestamp()) // 60}"
    assert "is not at work then." in house.as_role("lead").get(address).text


def test_a_hold_needs_a_reason(house: House, desk: SmallDesk) -> None:
    client, job = house.as_role("desk"), jobs_of(house)[0]
    assert client.post(f"/plan/racquet/{job.id}/hold", data={"reason": ""}).status_code == 422
    assert client.post(f"/plan/racquet/{job.id}/hold", data={"reason": "grommet"}).status_code == 303
    assert jobs_of(house)[0].state == "held"
    client.post(f"/plan/racquet/{job.id}/release")
    assert jobs_of(house)[0].state == "waiting"


def test_nothing_wrong_says_so(house: House, desk: SmallDesk) -> None:
    assert "Nothing is wrong" in house.as_role("lead").get("/plan/wrong/tried").text
    assert "Nothing is wrong" in house.as_role("lead").get("/plan/wrong").text


def test_all_new_times_are_told_by_one_touch_and_stand_on_board_and_page(house: House, desk: SmallDesk) -> None:
    def promise_too_soon(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            session.add(
                Promise(job_id=job.id, ready_at=make.moment("Mon 12:05"), given_at=make.moment("Mon 12:00"), by="desk")
            )

    house.write(promise_too_soon)
    client = house.as_role("desk")
    assert "Tell all 3" in client.get("/plan").text
    assert "Told 3 new times" in client.post("/plan/tell", follow_redirects=True).text
    with house.database.reading() as session:
        told = [job.promised_at for job in session.scalars(select(Job).where(Job.event_id == house.event_id))]
        times = {f"{clock_of(session, desk.event).local(at):%H:%M}" for at in told}
    board, page = client.get(f"/board/{desk.event.slug}").text, client.get(f"/p/{desk.player.token}?lang=en").text
    assert min(told) > make.moment("Mon 12:20")
    assert all(one in board and one in page for one in times) and "12:05" not in board
    assert "the desk fell behind" in page


def _said(house: House) -> list[str]:
    return [job.matters for job in jobs_of(house)]


def test_which_racquet_matters_is_kept_by_a_touch_and_taken_back_by_another(house: House, desk: SmallDesk) -> None:
    def fix_times(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 15:00")
            job.latest_at = job.needed_by_at

    house.write(fix_times)
    one, two, three = (job.id for job in jobs_of(house))
    client = house.as_role("desk")
    page = f"/plan/racquet/{one}"
    assert "It matters most" in client.get(page).text
    client.post("/plan/said", data={"first": one, "later": f"{two},{three}", "next": page})
    assert _said(house) == ["first", "later", "later"]
    assert "Follows to the court during the match" in client.get(f"/plan/racquet/{two}").text
    assert "Take all of it back" in client.get("/plan/wrong").text
    answer = client.post("/plan/said", data={"back": f"{one},{two},{three}", "next": "//elsewhere.example"})
    assert (_said(house), answer.location) == (["", "", ""], "/plan/wrong")


def test_what_cannot_be_said_of_a_racquet_is_told(house: House, desk: SmallDesk) -> None:
    (job, *_) = jobs_of(house)
    answer = house.as_role("desk").post("/plan/said", data={"first": job.id}, follow_redirects=True)
    assert "has no time by which it is needed" in answer.text


@pytest.mark.slow
def test_one_racquet_for_each_first_is_done_by_one_touch(house: House, desk: SmallDesk) -> None:
    def hurry(session, _event: Event) -> None:
        other = make.make_player(session, desk.event)
        for number in range(2):
            make.make_job(
                session, other, racquet=make.make_racquet(session, other, number=number + 1), serial=90 + number
            )
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 12:00") + timedelta(minutes=30)
            job.latest_at = job.needed_by_at

    house.write(hurry)
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    client = house.as_role("lead")
    tried = client.get("/plan/wrong?tried=1").text
    assert "One racquet for each in time, the rest to the court during the match." in tried
    (later,) = set(re.findall(r'name="later" value="(\d+,\d+,\d+)"', tried))
    client.post("/plan/said", data={"later": later})
    assert sorted(_said(house)) == ["", "", "later", "later", "later"]


@pytest.mark.slow
def test_a_late_racquet_shows_its_reason_and_remedies(house: House, desk: SmallDesk) -> None:
    def hurry(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 12:00") + timedelta(minutes=25)
            job.pinned_stringer_id = desk.stringers[0].id

    house.write(hurry)
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    client = house.as_role("lead")
    for address in ("/plan/wrong", "/plan/wrong?tried=1", "/plan/wrong/tried"):
        assert "It is pinned to Stringer 1" in client.get(address).text
    assert "Ask which racquet matters" in client.get("/plan/wrong?tried=1").text
    assert "late" in house.as_role("lead").get("/plan").text


def test_what_if_answers_beside_the_plan(house: House, desk: SmallDesk) -> None:
    client = house.as_role("lead")
    address = f"/plan/what-if?kind=stringer_leaves&stringer_id={desk.stringers[0].id}&machine_id=0&count=1&at=12:10"
    assert "Stringer 1 leaves at 12:10." in client.get(address).text
    assert "no time" in client.get("/plan/what-if?kind=more_racquets&count=5&at=99:99").text.lower()


def test_what_was_supposed_is_kept_only_when_it_is_said(house: House, desk: SmallDesk) -> None:
    client, machine = house.as_role("desk"), desk.machines[0]
    data = {"kind": "machine_out", "machine_id": machine.id, "at": "12:10"}
    page = client.get("/plan/what-if", query_string=data).text
    assert "Keep it so" in page
    with house.database.reading() as session:
        assert session.get_one(Machine, machine.id).outages == []
    answer = client.post("/plan/what-if", data=data, follow_redirects=True)
    assert f"Kept: {machine.name} is out from 12:10 on." in answer.text
    with house.database.reading() as session:
        (outage,) = session.get_one(Machine, machine.id).outages
        assert (outage.from_at, outage.to_at) == (make.moment("Mon 12:10"), None)


@pytest.mark.parametrize(
    ("kind", "screen", "button"),
    [("machine_out", "machines", "It stays in service"), ("stringer_leaves", "team", "Stays after all")],
)
def test_what_was_kept_can_be_taken_back_before_it_begins(
    house: House, desk: SmallDesk, kind: str, screen: str, button: str
) -> None:
    client, one = house.as_role("lead"), desk.machines[0] if screen == "machines" else desk.stringers[0]
    where = f"/{screen}/{one.id}"
    assert button not in client.get(where).text
    data = {"kind": kind, "machine_id": one.id, "stringer_id": one.id, "at": "15:00"}
    assert client.post("/plan/what-if", data=data).status_code == 303
    page = client.get(where).text
    assert button in page and "15:00" in page
    client.post(f"{where}/back")
    assert button not in client.get(where).text
    with house.database.reading() as session:
        assert not session.scalar(select(Outage)) and not session.scalar(select(Absence))


def test_more_racquets_that_are_supposed_cannot_be_kept(house: House, desk: SmallDesk) -> None:
    data = {"kind": "more_racquets", "count": "5", "at": "12:10"}
    client = house.as_role("desk")
    assert "Keep it so" not in client.get("/plan/what-if", query_string=data).text
    answer = client.post("/plan/what-if", data=data)
    assert answer.status_code == 422 and "can be kept" in answer.text
