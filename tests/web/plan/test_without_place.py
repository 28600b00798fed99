"""A racquet that has no place in the plan: what was promised of it does not stand, and the lead is told so."""

from __future__ import annotations

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import jobs_of, move_in, words

WHY = "Nobody on the team may take it."


def planned(house: House) -> None:
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))


@pytest.fixture
def desk(house: House) -> SmallDesk:
    """A racquet with natural gut for Court 2 was promised for 14:10; since then nobody may string gut."""

    def fill(session: Session, desk: SmallDesk) -> None:
        desk.string.material = "natural_gut"
        court = make.make_court(session, desk.event, name="Court 2")
        job = make.make_job(session, desk.player, racquet=desk.racquets[0], on_court=True, court_id=court.id)
        make.make_promise(session, job.id, "Mon 14:10")

    return move_in(house, fill, at="Mon 12:00")


@pytest.fixture
def nobody(house: House, desk: SmallDesk) -> SmallDesk:
    def forbid(session: Session, _event: Event) -> None:
        for one in desk.stringers:
            session.merge(one).strings_gut = False

    house.write(forbid)
    planned(house)
    return desk


def board(house: House, desk: SmallDesk) -> str:
    return words(house.client().get(f"/board/{desk.event.slug}").text)


def test_with_a_place_the_promise_stands(house: House, desk: SmallDesk) -> None:
    planned(house)
    (job,) = jobs_of(house)
    lead = house.as_role("lead")
    assert "14:10 stands" in words(lead.get(f"/tag/{job.code}").text) and "does not stand" not in lead.get("/plan").text
    assert "goes to Court 2" in board(house, desk) and "14:10" in board(house, desk)


def test_its_tag_says_that_the_promise_is_open_and_why(house: House, nobody: SmallDesk) -> None:
    (job,) = jobs_of(house)
    said = words(house.as_role("lead").get(f"/tag/{job.code}").text)
    assert f"No place in the plan yet: {WHY}" in said and "in 2 h" not in said
    assert "Promised for 14:10; when it will be ready is open." in said and "14:10 stands" not in said


def test_it_stands_among_the_times_to_tell_with_what_can_be_done(house: House, nobody: SmallDesk) -> None:
    lead = house.as_role("lead")
    said = words(lead.get("/plan").text)
    assert "Times to tell 1" in said
    assert f"does not stand: promised 14:10, no place in the plan yet. {WHY}" in said
    assert "What would help or give it to somebody; else tell the player." in said
    assert "What would help" not in words(house.as_role("stringer").get("/plan").text)
    now = words(lead.get("/now").text)
    assert f"has no place in the plan, and 14:10 was promised. {WHY}" in now


def test_board_and_players_page_stay_calm_and_name_no_time(house: House, nobody: SmallDesk) -> None:
    said = board(house, nobody)
    assert "the desk is looking after it" in said and "14:10" not in said and "Court 2" not in said
    assert "The desk is looking after it" in words(house.client().get(f"/p/{nobody.player.token}").text)


def test_a_racquet_that_came_after_the_plan_is_only_being_planned(house: House, nobody: SmallDesk) -> None:
    def come(session: Session, _event: Event) -> Job:
        job = make.make_job(session, nobody.player, racquet=nobody.racquets[1], serial=9, code="NEW9")
        make.make_promise(session, job.id, "Mon 15:10")
        return job

    job = house.write(come)
    said = words(house.as_role("lead").get(f"/tag/{job.code}").text)
    assert "15:10 stands" in said and "Times to tell 1" in words(house.as_role("lead").get("/plan").text)
