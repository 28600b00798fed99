"""A racquet moved by hand on the plan's screens: its price, its place, and freed again."""

from sqlalchemy import select

from desk.models import Event, LogEntry, Stringer
from desk.queries.plan.kept_order import bench_order
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import jobs_of


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
