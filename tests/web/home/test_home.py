"""Home: what needs somebody now, where it is mended, and plain words when nothing does."""

from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select

from desk.models import Assignment, Calibration, Event, PlanRun, Promise, ReelEntry
from desk.queries.home.home import Home, home
from desk.services.bench.jobs import start_job
from desk.services.team.team import call_in_absent
from tests import make
from tests.web.conftest import House

NOW = make.moment("Mon 12:00")


def see(house: House) -> Home:
    with house.database.reading() as session:
        return home(session, session.get_one(Event, house.event_id), NOW)


def keys(house: House) -> list[str]:
    return [group.key for group in see(house).groups]


def _calm(session, event: Event) -> None:
    event.calibration_required = False


def _planned(session, event: Event, *, ends_in: int, needed_in: int | None, **over: object):
    """Plan a waiting racquet to end in so many minutes, needed in so many."""
    event.calibration_required = False
    machine = make.make_machine(session, event)
    stringer = make.make_stringer(session, event, home_machine_id=machine.id)
    needed = None if needed_in is None else NOW + timedelta(minutes=needed_in)
    job = make.make_job(session, make.make_player(session, event), needed_by_at=needed, **over)
    make.make_reel(session, job.card.mains_string)
    values = {"status": "feasible", "total": 0, "bound": 0, "seconds": 0.1, "costs": {}, "unplaced": [], "reasons": {}}
    run = PlanRun(event_id=event.id, made_at=NOW, change_number=event.change_number, **values)
    session.add(run)
    session.flush()
    event.current_run_id, event.planned_change_number = run.id, event.change_number
    end = NOW + timedelta(minutes=ends_in)
    place = {"start_at": end - timedelta(minutes=22), "end_at": end}
    session.add(Assignment(run_id=run.id, job_id=job.id, stringer_id=stringer.id, machine_id=machine.id, **place))
    return job


def test_it_says_plainly_when_nothing_needs_anybody(house: House) -> None:
    house.write(lambda session, event: _planned(session, event, ends_in=30, needed_in=60) and None)
    assert "Nothing needs doing now." in house.as_role("lead").get("/now").text


def test_a_racquet_in_time_needs_nobody(house: House) -> None:
    house.write(lambda session, event: _planned(session, event, ends_in=30, needed_in=60) and None)
    assert keys(house) == []


@pytest.mark.parametrize(
    ("ends_in", "needed_in", "over", "group"),
    [
        (40, 30, {}, "late"),
        (40, 35, {"latest_at": NOW + timedelta(minutes=55)}, "urgent"),
        (30, 60, {"on_court": True}, "court"),
        (40, 30, {"on_court": True}, "court"),
    ],
)
def test_a_racquet_stands_once_under_what_presses_most(
    house: House, ends_in: int, needed_in: int, over: dict, group: str
) -> None:
    house.write(lambda session, event: _planned(session, event, ends_in=ends_in, needed_in=needed_in, **over) and None)
    assert keys(house) == [group]


def test_a_late_racquet_says_by_how_much(house: House) -> None:
    code = house.write(lambda session, event: _planned(session, event, ends_in=40, needed_in=30).code)
    page = house.as_role("lead").get("/now").text
    assert "10 min late" in page and f"/tag/{code}" in page and "1 thing needs somebody now" in page


def test_a_running_racquet_outside_the_plan_may_break_its_promise(house: House) -> None:
    def run(session, event: Event) -> None:
        job = _planned(session, event, ends_in=30, needed_in=None)
        over = {"state": "on_machine", "started_at": NOW - timedelta(minutes=30), "expected_end_at": NOW}
        other = make.make_job(session, job.player, **over)
        session.add(Promise(job_id=other.id, ready_at=NOW - timedelta(minutes=2), given_at=NOW, by="desk"))

    house.write(run)
    (group,) = see(house).groups
    assert (group.key, group.lines[0].text[:24]) == ("promise", "It is on the machine and")


def test_a_held_racquet_names_its_reason(house: House) -> None:
    def hold(session, event: Event) -> None:
        _calm(session, event)
        make.make_job(session, make.make_player(session, event), state="held", held_reason="grommet out at 2 o’clock")

    house.write(hold)
    page = house.as_role("desk").get("/now").text
    assert "grommet out at 2 o’clock" in page and "Release it" in page


def test_a_machine_is_named_until_it_was_calibrated_today(house: House) -> None:
    machine_id = house.write(lambda session, event: make.make_machine(session, event).id)
    assert keys(house) == ["reading"]

    def calibrate(session, _event: Event) -> None:
        for reference in ("20", "27"):
            kilos = {"reference": Decimal(reference), "reading": Decimal(reference), "unit": "kg"}
            done = {"at": make.moment("Mon 08:00"), "by": "lead", "tolerance_lb": 1.0, "passed": True}
            session.add(Calibration(machine_id=machine_id, **kilos, **done))

    house.write(calibrate)
    assert keys(house) == []


@pytest.mark.parametrize(("finished", "expected"), [("Mon 11:30", []), ("Mon 10:30", ["pickup"])])
def test_racquets_left_lying_for_an_hour_are_named(house: House, finished: str, expected: list[str]) -> None:
    def lie(session, event: Event) -> None:
        _calm(session, event)
        player = make.make_player(session, event)
        make.make_job(session, player, state="strung", finished_at=make.moment(finished))

    house.write(lie)
    assert keys(house) == expected


def test_a_reel_about_to_run_out_is_named_with_its_time(house: House) -> None:
    def short(session, event: Event) -> None:
        _planned(session, event, ends_in=30, needed_in=60)
        session.scalars(select(ReelEntry)).one().metres = 13.0

    house.write(short)
    (group,) = see(house).groups
    assert (group.key, group.lines[0].at) == ("string", NOW + timedelta(minutes=8))


def test_many_lines_of_one_kind_are_cut_and_counted(house: House) -> None:
    def hold_many(session, event: Event) -> None:
        _calm(session, event)
        for _ in range(9):
            make.make_job(session, make.make_player(session, event), state="held", held_reason="string is missing")

    house.write(hold_many)
    (group,) = see(house).groups
    assert (len(group.lines), group.more, see(house).total) == (6, 3, 9)
    assert "and 3 more" in house.as_role("lead").get("/now").text


def test_racquets_that_one_string_keeps_waiting_are_one_line(house: House) -> None:
    def without_a_reel(session, event: Event) -> None:
        _calm(session, event)
        string = make.make_string(session, event)
        make.make_reel(session, string, metres=5)
        player, card = make.make_player(session, event), {"mains_string_id": string.id, "crosses_string_id": string.id}
        for state in ("waiting", "waiting", "held"):
            make.make_job(session, player, state=state, held_reason="String is missing" * (state == "held"), card=card)

    house.write(without_a_reel)
    (line,) = [line for group in see(house).groups if group.key == "string" for line in group.lines]
    assert "3 racquets wait for the desk’s string" in line.text and "1 reel" in line.text
    assert "held" not in keys(house)


def test_who_was_to_be_back_is_named_with_what_comes_late_for_it(house: House) -> None:
    def late_with_one_away(session, event: Event) -> tuple[int, str]:
        job = _planned(session, event, ends_in=60, needed_in=10)
        place = session.scalars(select(Assignment)).one()
        back = {"back_at": NOW - timedelta(minutes=4)}
        call_in_absent(session, event.id, place.stringer_id, acting=make.acting("Mon 11:00"), **back)
        return place.stringer_id, job.code

    stringer_id, code = house.write(late_with_one_away)
    (line,) = next(group for group in see(house).groups if group.key == "expected").lines
    assert line.text == f"was to be back, and nobody has said so; counted with from 12:11. Late with it: {code}."
    page = house.as_role("lead").get("/now").text
    assert f'href="/team/{stringer_id}">Are they back?' in page or f"/team/{stringer_id}" in page


def _promised(session, event: Event, *, ends_in: int, promised_in: int) -> int:
    job = _planned(session, event, ends_in=ends_in, needed_in=400)
    ready_at = NOW + timedelta(minutes=promised_in)
    session.add(Promise(job_id=job.id, ready_at=ready_at, given_at=NOW, by="desk"))
    make.set_clock(event, "Mon 12:00")
    return job.id


@pytest.mark.parametrize(
    ("ends_in", "promised_in", "group"), [(60, 58, "promise"), (80, 60, "promise"), (30, 300, "sooner"), (30, 60, None)]
)
def test_a_promise_that_bends_is_named_at_once_and_told_by_one_touch(
    house: House, ends_in: int, promised_in: int, group: str | None
) -> None:
    job_id = house.write(lambda session, event: _promised(session, event, ends_in=ends_in, promised_in=promised_in))
    found = {one.key: one.lines for one in see(house).groups}
    assert list(found) == ([] if group is None else [group])
    if group is None:
        return
    (line,) = found[group]
    client = house.as_role("lead")
    assert f'action="/plan/racquet/{job_id}/tell"' in client.get("/now").text
    assert client.post(f"/plan/racquet/{job_id}/tell", data={"next": "/now"}).location == "/now"
    told = house.scalars(select(Promise).where(Promise.job_id == job_id).order_by(Promise.id)).all()
    assert [one.ready_at for one in told][1:] == [line.tell_at]
    assert keys(house) == []


def test_a_racquet_that_nobody_works_on_stands_first(house: House) -> None:
    def leave(session, event: Event) -> None:
        job = _planned(session, event, ends_in=30, needed_in=60)
        place = session.scalars(select(Assignment)).one()
        start = {"stringer_id": place.stringer_id, "machine_id": place.machine_id}
        start_job(session, event.id, job.id, acting=make.acting("Mon 11:50"), **start)
        call_in_absent(session, event.id, place.stringer_id, acting=make.acting("Mon 11:58"))

    house.write(leave)
    assert keys(house)[0] == "stranded"
    assert "Nobody works on these" in house.as_role("lead").get("/now").text
