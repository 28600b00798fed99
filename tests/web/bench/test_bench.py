"""The bench through its forms: start, finish, problem, taking back."""

from collections.abc import Callable

import pytest
from sqlalchemy import select

from desk.models import Account, Event, Job, LogEntry, Outage, StateChange
from desk.services.bench.jobs import BENCH_CHECKS
from desk.services.machines import machines
from desk.services.team import team
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene

CHECKS = list(BENCH_CHECKS)


@pytest.fixture
def day(furnished: Callable) -> scene.Scene:
    return furnished(scene.fill_calibrated)[1]


def state(house: House, job: Job) -> str:
    return house.get(Job, job.id).state


def free_bench(day: scene.Scene) -> tuple[int, int, Job]:
    """Return the stringer without a racquet, their machine, and a waiting job."""
    return day.stringers[3].id, day.machines[3].id, day.in_state("waiting")[3]


def test_the_bench_shows_the_running_card_with_its_minutes(house: House, day: scene.Scene) -> None:
    running = day.in_state("on_machine")[0]
    page = house.as_role("stringer").get(f"/bench/{running.stringer_id}").text
    assert running.code in page
    assert '<span class="bench-count"' in page and ">14</span> of 30 min" in page


def test_a_machine_that_is_out_is_said_beside_its_racquet_and_proposed_to_nobody(
    house: House, day: scene.Scene
) -> None:
    running = day.in_state("on_machine")[0]
    stringer, machine, _ = free_bench(day)

    def take_out(session, event: Event) -> None:
        for one in (running.machine_id, machine):
            machines.take_out_of_service(session, event.id, one, acting=make.acting(scene.NOW), reason="out of service")

    house.write(take_out)
    lead = house.as_role("lead")
    page = lead.get(f"/bench/{running.stringer_id}").text
    assert "Out of service: no reason was given. The desk says what becomes of this racquet." in page
    page = lead.get(f"/bench/{stringer}").text
    assert f'value="{machine}" selected' not in page and ", out of service</option>" in page
    answer = lead.post(f"/bench/{stringer}/start", data={"job_id": free_bench(day)[2].id, "machine_id": machine})
    assert "Out of service: out of service" not in answer.text


def test_the_list_says_who_is_away_and_who_is_free(house: House, day: scene.Scene) -> None:
    stringer = day.stringers[3].id
    assert "free" in house.as_role("lead").get("/benches").text
    house.write(
        lambda session, event: team.call_in_absent(
            session, event.id, stringer, acting=make.acting(scene.NOW), reason="sick", back_at=make.moment("Mon 14:00")
        )
    )
    page = house.as_role("lead").get("/benches").text
    assert "away until 14:00" in page and ">free<" not in page


def test_a_stringer_with_an_account_comes_to_the_bench_of_that_name(house: House, day: scene.Scene) -> None:
    client = house.as_role("stringer")
    assert client.get("/bench/mine").location == "/benches"
    house.write(
        lambda session, _: session.get_one(Account, house.accounts["stringer"]).__setattr__(
            "name", day.stringers[1].name
        )
    )
    assert client.get("/bench/mine").location == f"/bench/{day.stringers[1].id}"


def test_start_puts_the_racquet_on_the_machine_in_the_name_of_who_did_it(house: House, day: scene.Scene) -> None:
    stringer, machine, job = free_bench(day)
    answer = house.as_role("stringer").post(
        f"/bench/{stringer}/start", data={"job_id": job.id, "machine_id": machine, "request_key": "k1"}
    )
    assert answer.status_code == 303
    assert state(house, job) == "on_machine"
    assert house.scalars(select(LogEntry.by).order_by(LogEntry.id.desc()).limit(1)).one() == "stringer"


def test_a_touch_sent_twice_counts_once(house: House, day: scene.Scene) -> None:
    stringer, machine, job = free_bench(day)
    client, data = house.as_role("stringer"), {"job_id": job.id, "machine_id": machine, "request_key": "k1"}
    answers = [client.post(f"/bench/{stringer}/start", data=data).status_code for _ in range(2)]
    changes = house.scalars(select(StateChange).where(StateChange.request_key == "k1")).all()
    assert (answers, len(changes)) == ([303, 303], 1)


@pytest.mark.parametrize(("ago", "minutes"), [("120", 2), ("99999999", 30), ("²", 0)])
def test_a_touch_kept_in_a_gap_counts_from_when_it_was_made(
    house: House, day: scene.Scene, ago: str, minutes: int
) -> None:
    house.write(lambda session, event: make.set_clock(event, scene.NOW, speed=1.0))
    stringer, machine, job = free_bench(day)
    house.as_role("stringer").post(
        f"/bench/{stringer}/start",
        data={"job_id": job.id, "machine_id": machine, "request_key": "k1"},
        headers={"X-Touched-Ago": ago.encode().decode("latin-1")},
    )
    started = house.get(Job, job.id).started_at
    assert -minutes <= (started - day.now).total_seconds() / 60 < 1 - minutes


def test_a_start_on_a_machine_that_is_out_says_what_to_do(house: House, day: scene.Scene) -> None:
    stringer, machine, job = free_bench(day)
    out = {"from_at": make.moment("Mon 12:00"), "reason": "the motor smells", "by": "lead"}
    house.write(lambda session, _event: session.add(Outage(machine_id=machine, **out)))
    answer = house.as_role("stringer").post(
        f"/bench/{stringer}/start", data={"job_id": job.id, "machine_id": machine, "request_key": "k1"}
    )
    assert "Bench 4 cannot start a racquet. Out of service: the motor smells. Take another machine" in answer.text
    assert (answer.status_code, state(house, job)) == (422, "waiting")


def test_a_start_without_a_machine_says_so_and_keeps_the_page(house: House, day: scene.Scene) -> None:
    stringer, _, job = free_bench(day)
    answer = house.as_role("stringer").post(f"/bench/{stringer}/start", data={"job_id": job.id, "machine_id": ""})
    assert answer.status_code == 422
    assert state(house, job) == "waiting"


def test_finish_with_every_check_makes_it_strung(house: House, day: scene.Scene) -> None:
    job = day.in_state("on_machine")[2]
    answer = house.as_role("stringer").post(
        f"/bench/{job.stringer_id}/finish", data={"job_id": job.id, "checks": CHECKS, "stiffness": "41"}
    )
    assert answer.status_code == 303
    assert state(house, job) == "strung"


def test_finish_without_a_check_says_which_and_keeps_the_ticks(house: House, day: scene.Scene) -> None:
    job = day.in_state("on_machine")[2]
    answer = house.as_role("stringer").post(
        f"/bench/{job.stringer_id}/finish", data={"job_id": job.id, "checks": CHECKS[1:]}
    )
    assert answer.status_code == 422
    assert BENCH_CHECKS[CHECKS[0]] in answer.text
    assert answer.text.count(" checked") == len(CHECKS) - 1
    assert state(house, job) == "on_machine"


def test_a_refused_touch_of_the_script_gets_the_sentence_alone(house: House, day: scene.Scene) -> None:
    job = day.in_state("on_machine")[2]
    answer = house.as_role("stringer").post(
        f"/bench/{job.stringer_id}/finish", data={"job_id": job.id}, headers={"X-Fragment": "1"}
    )
    assert answer.status_code == 422
    assert "<html" not in answer.text and 'role="alert"' in answer.text


def test_a_problem_takes_the_racquet_off_with_its_reason(house: House, day: scene.Scene) -> None:
    job = day.in_state("on_machine")[0]
    client = house.as_role("stringer")
    without = client.post(f"/bench/{job.stringer_id}/problem", data={"job_id": job.id, "reason": ""})
    assert without.status_code == 422
    client.post(f"/bench/{job.stringer_id}/problem", data={"job_id": job.id, "reason": "Frame is cracked"})
    assert state(house, job) == "held"


def test_a_wrong_touch_is_taken_back_and_stands_in_the_log(house: House, day: scene.Scene) -> None:
    job = day.in_state("on_machine")[2]
    client = house.as_role("stringer")
    client.post(f"/bench/{job.stringer_id}/finish", data={"job_id": job.id, "checks": CHECKS})
    client.post(f"/bench/{job.stringer_id}/undo", data={"job_id": job.id})
    assert state(house, job) == "on_machine"
    assert "taken back" in house.scalars(select(LogEntry.text).order_by(LogEntry.id.desc()).limit(1)).one()


def test_a_taking_back_that_is_sent_twice_counts_once(house: House, day: scene.Scene) -> None:
    job, client = day.in_state("on_machine")[2], house.as_role("stringer")
    client.post(f"/bench/{job.stringer_id}/finish", data={"job_id": job.id, "checks": CHECKS})
    data = {"job_id": job.id, "request_key": "back"}
    answers = [client.post(f"/bench/{job.stringer_id}/undo", data=data).status_code for _ in range(2)]
    assert (answers, state(house, job)) == ([303, 303], "on_machine")


def test_a_taking_back_that_comes_late_takes_back_no_other_touch(house: House, day: scene.Scene) -> None:
    job, client = day.in_state("on_machine")[2], house.as_role("stringer")
    where = f"/bench/{job.stringer_id}"
    started = house.scalars(select(StateChange.id).where(StateChange.job_id == job.id)).all()[-1]
    client.post(f"{where}/finish", data={"job_id": job.id, "checks": CHECKS})
    late = {"job_id": job.id, "change_id": started, "request_key": "back"}
    answer = client.post(f"{where}/undo", data=late, headers={"X-Fragment": "1"})
    assert answer.status_code == 422
    assert f"{job.code} has changed since and is strung" in answer.text
    assert state(house, job) == "strung"


def test_a_chosen_racquet_stands_before_the_plan(house: House, day: scene.Scene) -> None:
    stringer, _, _ = free_bench(day)
    wanted = day.in_state("waiting")[6]
    page = house.as_role("stringer").get(f"/bench/{stringer}?job={wanted.id}").text
    assert page.index(wanted.code) < page.index("After that")


def test_a_bench_of_another_event_is_not_found(house: House) -> None:
    def elsewhere(session, _event) -> int:
        return make.make_stringer(session, make.make_event(session)).id

    assert house.as_role("lead").get(f"/bench/{house.write(elsewhere)}").status_code == 404


def test_an_empty_team_says_what_to_do_first(house: House) -> None:
    assert "Nobody is on the team yet" in house.as_role("lead").get("/benches").text


def test_a_stringer_touches_nothing_that_is_not_at_the_own_bench(house: House, day: scene.Scene) -> None:
    """By its number a stringer could finish another's racquet, or take back a hand-over."""
    own, client = day.stringers[3], house.as_role("stringer")
    running, given = day.in_state("on_machine")[0], day.in_state("handed_over")[0]
    for job in (running, given):
        for do in ("finish", "undo", "problem"):
            form = {"job_id": job.id, "checks": CHECKS, "reason": "String broke", "request_key": f"{do}-{job.id}"}
            assert client.post(f"/bench/{own.id}/{do}", data=form).status_code in (403, 422), (job.code, do)
    # Also at the bench of whoever strung it: what is handed over stays handed over.
    client.post(f"/bench/{given.stringer_id}/undo", data={"job_id": given.id, "request_key": "back"})
    assert (state(house, running), state(house, given)) == ("on_machine", "handed_over")
