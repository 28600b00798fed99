"""What is wrong with a plan: new times told, which racquet matters, reasons and remedies."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import select

from desk.models import Event, Job, Promise, Stringer
from desk.queries.play.play_records import clock_of
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import jobs_of, said_of


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
    assert "it takes longer than we thought" in page


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
    assert said_of(house) == ["first", "later", "later"]
    assert "Follows to the court during the match" in client.get(f"/plan/racquet/{two}").text
    assert "Take all of it back" in client.get("/plan/wrong").text
    answer = client.post("/plan/said", data={"back": f"{one},{two},{three}", "next": "//elsewhere.example"})
    assert (said_of(house), answer.location) == (["", "", ""], "/plan/wrong")


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
    assert sorted(said_of(house)) == ["", "", "later", "later", "later"]


@pytest.mark.slow
def test_the_pins_of_a_bag_are_lifted_by_one_touch_and_a_place_less_late_says_what_is_left(
    house: House, desk: SmallDesk
) -> None:
    def keep_with_the_slow_one(session, _event: Event) -> None:
        session.get_one(Stringer, desk.stringers[0].id).pace_override = 200
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 12:00") + timedelta(minutes=30)
            job.latest_at, job.pinned_stringer_id = job.needed_by_at, desk.stringers[0].id

    house.write(keep_with_the_slow_one)
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    client = house.as_role("lead")
    tried = client.get("/plan/wrong?tried=1").text
    assert re.search(r"The pins of racquet \d of \w.+? and the player&#39;s 2 others lifted\.", tried)
    assert re.search(r"By \d\d:\d\d in place of \d\d:\d\d, still (1 h( \d\d)?|\d\d? min) late\.", tried)
    address, others = re.search(r'action="(/plan/racquet/\d+/free)">.*?name="others" value="(\d+,\d+)"', tried).groups()
    assert "put the racquets at any bench" in client.post(address, data={"others": others}, follow_redirects=True).text
    assert [job.pinned_stringer_id for job in jobs_of(house)] == [None, None, None]


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
        assert "You keep this player&#39;s 3 racquets with Stringer 1" in client.get(address).text
    assert "Ask which racquet matters" in client.get("/plan/wrong?tried=1").text
    assert "late" in house.as_role("lead").get("/plan").text
