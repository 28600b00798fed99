"""A stringer falls sick, or a machine dies, in the middle of a racquet: one touch, then one answer."""

from __future__ import annotations

import re

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.services.bench import jobs
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import move_in, words


@pytest.fixture
def desk(house: House) -> SmallDesk:
    """The first stringer has a racquet on the machine since 12:00; it is 12:10."""

    def fill(session: Session, desk: SmallDesk) -> None:
        job = make.make_job(session, desk.player, racquet=desk.racquets[0])
        jobs.start_job(session, desk.event.id, job.id, acting=make.acting("Mon 12:00"), **desk.bench())

    return move_in(house, fill, at="Mon 12:10")


def one_job(house: House) -> Job:
    with house.database.reading() as session:
        return session.query(Job).filter_by(event_id=house.event_id).one()


def asked(text: str) -> str:
    """The question of the plan's screen as it reads, without its marks."""
    section = re.search(r'<section class="stranded".*?</section>', text, re.DOTALL)
    assert section, "nothing is asked"
    return words(section[0])


def test_a_sick_stringer_leads_to_the_racquet_on_the_machine_and_another_finishes_it(
    house: House, desk: SmallDesk
) -> None:
    lead, (first, second) = house.as_role("lead"), desk.stringers
    sick = lead.post(f"/team/{first.id}/away", data={})
    assert sick.location == "/plan#stranded"
    said = asked(lead.get("/plan").text)
    assert said.startswith("What becomes of this racquet?") and "Hand it on" in said
    assert said.index("let the tension go before anything is cut") < said.index(f"and {first.name} is away")
    job = one_job(house)
    lead.post(f"/plan/racquet/{job.id}/stranded", data={"what": "hand_on", "stringer_id": second.id})
    job = one_job(house)
    assert (job.state, job.stringer_id) == ("on_machine", second.id)
    assert "stranded" not in lead.get("/plan").text
    happened = words(lead.get(f"/tag/{job.code}").text).split("What happened")[1]
    assert f"begun by {first.name}, handed on to {second.name}" in happened


def test_where_nobody_is_free_it_says_who_will_be_and_that_it_can_stay_until_then(
    house: House, desk: SmallDesk
) -> None:
    def busy(session, event: Event) -> None:
        job = make.make_job(session, desk.player, racquet=desk.racquets[1], serial=9)
        bench = {"stringer_id": desk.stringers[1].id, "machine_id": desk.machines[1].id}
        jobs.start_job(session, desk.event.id, job.id, acting=make.acting("Mon 12:05"), **bench)

    house.write(busy)
    lead, (first, second) = house.as_role("lead"), desk.stringers
    lead.post(f"/team/{first.id}/away", data={})
    said = asked(lead.get("/plan").text)
    assert f"Nobody is free to finish it; {second.name} comes free first, at 12:2" in said
    assert "leave it as it is, and hand it on then" in said and "Hand it on" not in said


def test_a_dead_machine_offers_no_hand_and_the_racquet_is_cut_out(house: House, desk: SmallDesk) -> None:
    lead, machine = house.as_role("lead"), desk.machines[0]
    assert lead.post(f"/machines/{machine.id}/out", data={}).location == "/plan#stranded"
    now = lead.get("/now").text
    assert "Out of service: no reason was given." in now and f"{machine.name} is out of service. A new plan" in now
    said = asked(lead.get("/plan").text)
    assert "is out: cut out and strung anew, or held?" in lead.get("/now").text
    assert f"on the machine, and {machine.name} is out" in said and "Hand it on" not in said
    assert "Cut out, string anew" in said and "Hold it" in said
    job = one_job(house)
    lead.post(f"/plan/racquet/{job.id}/stranded", data={"what": "cut_out"})
    assert one_job(house).state == "waiting"


def test_it_can_be_held_and_an_answer_without_a_word_is_refused(house: House, desk: SmallDesk) -> None:
    lead, first = house.as_role("lead"), desk.stringers[0]
    lead.post(f"/team/{first.id}/away", data={})
    job = one_job(house)
    answer = lead.post(f"/plan/racquet/{job.id}/stranded", data={"what": "burn"})
    assert "Say what becomes of the racquet." in answer.text and one_job(house).state == "on_machine"
    lead.post(f"/plan/racquet/{job.id}/stranded", data={"what": "hold"})
    assert one_job(house).state == "held"


def test_until_it_is_decided_no_screen_says_that_the_sick_stringer_works(house: House, desk: SmallDesk) -> None:
    lead, first, job = house.as_role("lead"), desk.stringers[0], one_job(house)
    house.write(lambda session, _: make.make_promise(session, job.id, "Mon 12:38"))
    board, own = f"/board/{desk.event.slug}", f"/p/{desk.player.token}"
    screens = ("/benches", f"/bench/{first.id}", f"/tag/{job.code}")
    assert "done by" in lead.get("/benches").text and "being strung" in house.client().get(board).text
    assert "Is being strung now" in house.client().get(own).text
    assert all("is away" not in lead.get(screen).text for screen in screens)
    lead.post(f"/team/{first.id}/away", data={})
    for screen in screens:
        said = words(lead.get(screen).text)
        assert f"{first.name} is away" in said and "done by" not in said and "in 28 min" not in said
    assert "the racquet waits for a decision" in words(lead.get("/benches").text)
    assert "The desk says what becomes of this racquet." in lead.get(f"/bench/{first.id}").text
    said = words(house.client().get(board).text)
    assert "the desk is looking after it" in said and "being strung" not in said and "12:38" not in said
    said = words(house.client().get(own).text)
    assert "The desk is looking after it" in said and "Is being strung now" not in said
    still_to_come = words(lead.get(f"/pickup/{desk.player.id}").text)
    assert f"{first.name} is away; when it will be ready is open" in still_to_come


def test_the_plan_marks_it_and_counts_no_minutes(house: House, desk: SmallDesk) -> None:
    lead, first = house.as_role("lead"), desk.stringers[0]
    house.write(lambda session, _: make.make_promise(session, one_job(house).id, "Mon 12:05"))
    lead.post(f"/team/{first.id}/away", data={})
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:10"), effort=Effort(seconds=0.2))
    said = words(lead.get("/plan").text)
    assert "nobody works on it" in said and "promise broken" not in said and "<h1>Plan</h1>" in lead.get("/plan").text


def test_a_runner_is_given_no_time_of_one_that_nobody_works_on(house: House, desk: SmallDesk) -> None:
    job = one_job(house)
    house.write(lambda session, _: setattr(session.get(Job, job.id), "on_court", True))
    lead, first = house.as_role("lead"), desk.stringers[0]
    assert "ready about 12:2" in words(lead.get("/runner").text)
    lead.post(f"/team/{first.id}/away", data={})
    said = words(lead.get("/runner").text)
    assert "ready about" not in said and f"{first.name} is away; the desk decides." in said


def test_one_held_half_strung_says_so_on_its_tag_and_is_not_simply_released(house: House, desk: SmallDesk) -> None:
    lead, first, job = house.as_role("lead"), desk.stringers[0], one_job(house)
    house.write(lambda session, _: make.make_promise(session, job.id, "Mon 12:38"))
    assert "Promised" in lead.get(f"/tag/{job.code}").text
    lead.post(f"/team/{first.id}/away", data={})
    lead.post(f"/plan/racquet/{job.id}/stranded", data={"what": "hold"})
    tag = words(lead.get(f"/tag/{job.code}").text)
    assert "Held, half-strung, its stringer is away Promised for 12:38; when it will be ready is open." in tag
    assert "in 28 min" not in tag and "Let it wait again" not in tag and "Say what becomes of it" in tag
    assert "Release it" not in lead.get(f"/plan/racquet/{job.id}").text
    said = asked(lead.get("/plan").text)
    assert "held, half-strung, its stringer is away" in said and "Hand it on" in said and "Hold it" not in said
    assert "is held, half-strung, its stringer is away: finished by another, or cut out?" in lead.get("/now").text
    lead.post(f"/plan/racquet/{job.id}/release", data={})
    assert one_job(house).state == "held"
