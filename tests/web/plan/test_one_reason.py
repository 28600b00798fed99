"""One reason of a racquet that is late or left out, the same on every screen."""

import re

from sqlalchemy import select

from desk.models import Event, Job, Stringer, StringType
from desk.services.bench.jobs import hold_job
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import jobs_of


def _plan(house: House) -> None:
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))


def test_a_racquet_that_nobody_may_take_any_more_says_so_on_every_screen(house: House, desk: SmallDesk) -> None:
    def hurry(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 12:05")
            job.latest_at = job.needed_by_at

    def unmark(session, _event: Event) -> None:
        for string in session.scalars(select(StringType).where(StringType.event_id == house.event_id)):
            string.material = "natural_gut"
        for person in session.scalars(select(Stringer).where(Stringer.event_id == house.event_id)):
            person.strings_gut = False

    house.write(hurry)
    _plan(house)
    client, (job, *_) = house.as_role("lead"), jobs_of(house)
    assert "Even alone" in client.get(f"/plan/racquet/{job.id}").text
    house.write(unmark)
    _plan(house)
    for address in (f"/plan/racquet/{job.id}", f"/tag/{job.code}", "/plan", "/now"):
        text = client.get(address).text
        assert "Nobody on the team may take it." in text and "Even alone" not in text, address
    assert "no place in the plan yet" not in client.get(f"/tag/{job.code}").text


def test_how_late_is_said_in_one_way_on_every_screen_and_sheet(house: House, desk: SmallDesk) -> None:
    def need_long_ago(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            job.needed_by_kind, job.needed_by_at = "time", make.moment("Mon 10:50")
            job.latest_at = job.needed_by_at

    house.write(need_long_ago)
    _plan(house)
    client = house.as_role("lead")
    said = set(re.findall(r"\d+ h \d\d(?= late)", client.get("/plan/wrong").text))
    assert len(said) > 1
    for address in ("/plan", "/now", "/shift"):
        text = client.get(address).text
        assert all(f"{one} late" in text for one in said), address
        assert not re.search(r"late \d{2,} min|\d{2,} min late", text), address
    assert f"late {min(said)}" in client.get("/plan").text


def test_a_racquet_that_is_held_has_only_its_reason_for_that(house: House, desk: SmallDesk) -> None:
    (job, *_) = jobs_of(house)

    def hold(session, event: Event) -> None:
        session.get_one(Job, job.id).late_why = "It waits."
        hold_job(session, event.id, job.id, "no string", acting=make.acting())

    house.write(hold)
    text = house.as_role("lead").get(f"/plan/racquet/{job.id}").text
    assert "no string" in text and "It waits." not in text
