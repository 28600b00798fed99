"""What is wrong stands there at once by name; remedies come as they are found, and a new time is answered with it."""

import threading
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from desk.models import Job, Promise
from desk.queries.plan.mending import Wrong
from desk.services.plan.planning import Effort, plan_event
from desk.web.plan.trials import Trials
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House


def wrong(*remedies: str, kind: str = "late", minutes: int = 5) -> list[Wrong]:
    found = {"kind": kind, "minutes": minutes, "reason": "", "remedies": remedies}
    return [Wrong(job_id=1, code="A", racquet="racquet 1 of X", **found)]


def test_who_asks_gets_what_was_found_so_far() -> None:
    may_go_on, reached = threading.Event(), threading.Event()

    def steps():
        yield wrong()
        yield wrong("one")
        reached.set()
        may_go_on.wait(5)
        yield wrong("one", "two")

    trials = Trials()
    trial = trials.of(1, "plan 1", steps)
    assert reached.wait(5)
    assert (trial.found[0].remedies, trial.done) == (("one",), False)
    assert trials.of(1, "plan 1", steps) is trial
    may_go_on.set()
    trial.wait()
    assert (trial.found[0].remedies, trial.step) == (("one", "two"), (2, True))


def test_a_new_plan_is_tried_anew_and_the_old_one_given_up() -> None:
    goes_on, tried = threading.Event(), []

    def long():
        yield wrong()
        for number in range(100):
            goes_on.wait(5)
            tried.append(number)
            yield wrong(str(number))

    trials = Trials()
    old = trials.of(1, "plan 1", long)
    new = trials.of(1, "plan 2", lambda: iter([wrong("at once", kind="promise")]))
    goes_on.set()
    old.wait()
    assert (len(tried), new.found[0].remedies) == (1, ("at once",))


def test_a_plan_with_the_same_troubles_lets_the_trial_go_on() -> None:
    goes_on = threading.Event()

    def steps():
        yield wrong()
        goes_on.wait(5)
        yield wrong("one")

    trials = Trials()
    trial = trials.of(1, "plan 1", steps)
    assert trials.of(1, "plan 2", lambda: iter([wrong(minutes=7)])) is trial
    goes_on.set()
    trial.wait()
    assert [(one.minutes, one.remedies) for one in trial.shown] == [(7, ("one",))]


def test_what_was_found_stands_until_the_next_trial_is_done() -> None:
    goes_on = threading.Event()

    def steps():
        yield wrong(kind="promise")
        goes_on.wait(5)

    trials = Trials()
    trials.of(1, "plan 1", lambda: iter([wrong(), wrong("one")])).wait()
    trial = trials.of(1, "plan 2", steps)
    assert (trial.shown[0].kind, trial.shown[0].remedies) == ("promise", ("one",))
    goes_on.set()
    trial.wait()
    assert trial.shown[0].remedies == ()


@pytest.fixture
def late(house: House, desk: SmallDesk) -> House:
    """Three racquets of one player promised for a time that the plan does not keep."""

    def promise(session, _event) -> None:
        for job in session.scalars(select(Job).where(Job.event_id == house.event_id)):
            at = make.moment("Mon 12:00")
            session.add(Promise(job_id=job.id, ready_at=at + timedelta(minutes=5), given_at=at, by="desk"))

    house.write(promise)
    plan_event(house.database, house.event_id, at=make.moment("Mon 12:00"), effort=Effort(seconds=0.2))
    return house


@pytest.mark.slow
def test_names_stand_before_codes_before_and_after_the_remedies_came(late: House) -> None:
    client = late.as_role("lead")
    for address in ("/plan/wrong", "/plan/wrong?tried=1"):
        page = client.get(address).text
        with late.database.reading() as session:
            for job in session.scalars(select(Job).where(Job.event_id == late.event_id)):
                assert page.index(f"Racquet {job.racquet.number} of {job.player.called}") < page.index(job.code)


@pytest.mark.slow
def test_a_later_time_is_answered_with_time_and_name(late: House) -> None:
    client = late.as_role("lead")
    with late.database.reading() as session:
        job = session.scalars(select(Job).where(Job.event_id == late.event_id)).first()
        name, number = job.player.called, job.racquet.number
    page = client.post("/plan/mend", data={"kind": "own_promise", "subject_id": job.id}, follow_redirects=True).text
    with late.database.reading() as session:
        at = session.get_one(Job, job.id).promised_at
    told = f"{at.astimezone(ZoneInfo(make.ZONE)):%H:%M}"
    assert f"Promised anew: {name}, racquet {number}, ready by {told}. Tell the player." in page
