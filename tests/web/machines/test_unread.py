"""A morning on which no machine is read yet: every screen says what racquets wait for, and no time of tomorrow."""

from __future__ import annotations

from decimal import Decimal

import pytest

from desk.models import Event, Job
from desk.queries.machines.readings_due import WAITS, ReadingsDue, readings_due
from desk.services.counter.drop_offs import take_drop_off
from desk.services.machines import calibrating, machines
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk, small_desk
from tests.web.conftest import House

NOBODY = "Nobody may string yet"


@pytest.fixture
def desk(house: House) -> SmallDesk:
    """A racquet needed at noon, taken in at nine by the desk's own form before anybody read a machine."""

    def fill(session, event: Event) -> SmallDesk:
        made = small_desk(session, calibration_required=True)
        make.set_clock(made.event, "Mon 09:00")
        return made

    made = house.write(fill)
    object.__setattr__(house, "event_id", made.event.id)
    return made


def read_machines(house: House, desk: SmallDesk) -> None:
    readings = [calibrating.Reading(reference=Decimal(at), reading=Decimal(at), unit="kg") for at in ("20", "25")]

    def read(session, event: Event) -> None:
        for machine in desk.machines:
            calibrating.calibrate(session, event.id, machine.id, readings, acting=make.acting("Mon 09:05"))

    house.write(read)


def take_in(house: House, desk: SmallDesk) -> Job:
    def take(session, event: Event) -> Job:
        asked = desk.racquet_form(needed_by_kind="time", needed_by_at=make.moment("Mon 12:00"))
        return take_drop_off(session, event.id, desk.form(asked), acting=make.acting("Mon 09:00")).jobs[0]

    job = house.write(take)
    plan(house)
    return job


def plan(house: House, at: str = "Mon 09:00") -> None:
    plan_event(house.database, house.event_id, at=make.moment(at), effort=Effort(seconds=0.2))


def test_no_time_of_tomorrow_is_told_at_drop_off_nor_after_it(house: House, desk: SmallDesk) -> None:
    client, number = house.as_role("desk"), desk.racquets[0].id
    card = {f"r{number}-{half}_tension": "52" for half in ("mains", "crosses")} | {f"r{number}-unit": "lb"}
    card |= {f"r{number}-{half}_string_id": desk.string.id for half in ("mains", "crosses")}
    asked = {f"r{number}-take": "y", "needed_by_kind": "match"} | card
    shown = client.post(f"/drop-off/{desk.player.id}/ready", data=asked).text
    assert "No ready time" in shown and WAITS in shown and NOBODY in shown and "Tue" not in shown
    job = take_in(house, desk)
    with house.database.reading() as session:
        assert session.get_one(Job, job.id).promised_at is None
    done = client.get(f"/drop-off/taken/{job.drop_off_id}").text
    assert "No ready time can be told yet." in done and NOBODY in done and "Tue" not in done


def test_every_screen_says_that_it_waits_and_none_a_time_of_tomorrow(house: House, desk: SmallDesk) -> None:
    job = take_in(house, desk)
    lead = house.as_role("lead")
    board = lead.get("/plan").text
    assert "<h1>Plan: 1 waits for a reading</h1>" in board and "waits for a reading</span>" in board
    assert "1 of them on a later day for want of a reading" in board
    now = lead.get("/now").text
    assert "1 racquet waits for nothing else." in now and "Late <span" not in now
    wrong = lead.get("/plan/wrong?tried=1").text
    assert WAITS in wrong and "1 racquet waits for a reading</h2>" in wrong and "It is back" not in wrong
    assert f">{job.code}<" not in house.client().get(f"/board/{desk.event.slug}").text
    page = house.client().get(f"/p/{desk.player.token}").text
    assert "We are working out your time." in page and "Tue" not in page.split("own-about")[0]


def test_a_machine_that_was_read_and_then_repaired_says_since_when_it_is_not_read(
    house: House, desk: SmallDesk
) -> None:
    first, second = desk.machines
    read_machines(house, desk)

    def repair(session, event: Event) -> None:
        machines.take_out_of_service(session, event.id, first.id, acting=make.acting("Mon 09:10"), reason="belt")
        machines.put_back_in_service(session, event.id, first.id, acting=make.acting("Mon 09:40"))
        make.set_clock(event, "Mon 09:50")

    house.write(repair)
    said = house.as_role("lead").get("/plan").text
    assert f"{first.name} has no reading since it was repaired or moved at 09:40 and strings nothing" in said
    assert "no reading yet today" not in said and f"{second.name} has" not in said
    assert f"before it is read: {first.name} (repaired or moved at 09:40)." in house.as_role("lead").get("/now").text


def test_benches_say_that_nobody_may_string_before_the_reading(house: House, desk: SmallDesk) -> None:
    benches = house.as_role("lead").get("/benches").text
    assert NOBODY in benches and benches.count("may not string before the reading") == 2
    assert 'href="/calibration"' in benches
    assert NOBODY in house.as_role("lead").get(f"/bench/{desk.stringers[0].id}").text


def test_after_the_reading_the_time_is_told_by_one_touch(house: House, desk: SmallDesk) -> None:
    job = take_in(house, desk)
    read_machines(house, desk)
    house.write(lambda _session, event: make.set_clock(event, "Mon 09:05"))
    plan(house, "Mon 09:05")
    lead = house.as_role("lead")
    now = lead.get("/now").text
    assert "No time told yet" in now and NOBODY not in now
    assert lead.post(f"/plan/racquet/{job.id}/tell", data={"next": "/now"}).status_code == 303
    with house.database.reading() as session:
        assert make.moment("Mon 09:00") < session.get_one(Job, job.id).promised_at < make.moment("Mon 12:00")
    assert "No time told yet" not in lead.get("/now").text


@pytest.mark.parametrize(("read", "not_before"), [(1, None), (0, "Tue 07:00")])
def test_what_another_machine_or_a_wish_puts_on_a_later_day_does_not_wait_for_a_reading(
    house: House, desk: SmallDesk, read: int, not_before: str | None
) -> None:
    def ask(session, event: Event) -> ReadingsDue:
        for machine in desk.machines[:read]:
            readings = [
                calibrating.Reading(reference=Decimal(at), reading=Decimal(at), unit="kg") for at in ("20", "25")
            ]
            calibrating.calibrate(session, event.id, machine.id, readings, acting=make.acting("Mon 08:30"))
        return readings_due(session, event, make.moment("Mon 09:00"))

    due = house.write(ask)
    wish = None if not_before is None else make.moment(not_before)
    assert due.names == tuple(machine.name for machine in desk.machines[read:])
    assert not due.hold_up(make.moment("Tue 08:00"), wish)
