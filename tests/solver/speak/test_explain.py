"""Reasons and remedies: the sentence names what stands in the way, and each remedy was tried."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from solver import Assignment, Plan, Workload, explain, make_plan
from solver.contract.workload import History, Job, Machine, Started, Stringer
from solver.judge.troubles import find_troubles
from tests.solver.strategies import workloads


def job(number: int, **over: object) -> Job:
    return Job(**({"id": f"J{number}", "player": f"P{number}", "minutes": 20} | over))


def desk(*jobs: Job, **over: object) -> Workload:
    values = {
        "stringers": (Stringer(id="S1", windows=((0, 600),), home="M1"),),
        "machines": (Machine(id="M1"), Machine(id="M2")),
    }
    return Workload(jobs=jobs, **(values | over))


def reason_of(workload: Workload, job_id: str = "J1") -> str:
    plan = make_plan(workload, seconds=0.2, workers=1)
    return {one.job: one.reason for one in explain(workload, plan, remedies=False)}[job_id]


def test_nothing_is_explained_when_all_is_well() -> None:
    workload = desk(job(1, due=60))
    assert explain(workload, make_plan(workload, seconds=0.2)) == []


def test_a_job_that_comes_too_late_could_not_be_ready_even_alone() -> None:
    workload = desk(job(1, ready_from=730, due=740), stringers=(Stringer(id="S1", windows=((0, 900),)),))
    assert reason_of(workload) == "Even alone it could not be ready before 12:30, since it cannot start before 12:10."


def test_a_machine_that_is_out_is_named_with_its_return() -> None:
    workload = desk(job(1, due=60, machines=("M1",)), machines=(Machine(id="M1", windows=((900, 1000),)),))
    workload = Workload(
        jobs=workload.jobs, machines=workload.machines, stringers=(Stringer(id="S1", windows=((0, 1000),)),)
    )
    assert "15:00" in reason_of(workload)


def test_a_pinned_job_names_what_it_waits_behind() -> None:
    started = job(2, started=Started(stringer="S1", machine="M1", start=0, end=50))
    two = (Stringer(id="S1", windows=((0, 600),)), Stringer(id="S2", windows=((0, 600),)))
    third = job(3, pinned_stringer="S1", due=70, weight=20)
    workload = desk(job(1, pinned_stringer="S1", due=75), started, third, stringers=two)
    assert reason_of(workload) == (
        "It is pinned to S1, behind J3 until 01:10. Without the pin S2 could have it ready by 00:20."
    )


def test_a_pin_is_the_reason_also_where_even_alone_it_could_not_be_kept_and_lifting_it_is_a_remedy() -> None:
    slow, quick = Stringer(id="S1", pace=150, windows=((0, 600),)), Stringer(id="S2", windows=((0, 600),))
    workload = desk(job(1, pinned_stringer="S1", due=25), stringers=(slow, quick))
    plan = make_plan(workload, seconds=0.2, workers=1)
    (found,) = explain(workload, plan, seconds=0.2)
    assert found.reason == "It is pinned to S1. Without the pin S2 could have it ready by 00:20."
    first = found.remedies[0]
    assert (first.kind, first.subject, first.sentence, first.mends) == ("pin", "J1", "The pin of J1 lifted.", ("J1",))


def bag(count: int, **over: object) -> list[Job]:
    return [job(n, **({"player": "P", "due": 45, "weight": 10} | over)) for n in range(1, count + 1)]


def two(**of_first: object) -> tuple[Stringer, ...]:
    first = Stringer(**({"id": "S1", "windows": ((0, 600),), "home": "M1"} | of_first))
    return first, Stringer(id="S2", windows=((0, 600),), home="M2")


def test_a_bag_kept_with_one_who_starts_later_names_that_and_what_the_bag_could_have_without() -> None:
    workload = desk(*bag(2, pinned_stringer="S1"), stringers=two(windows=((60, 600),)))
    assert reason_of(workload, "J2") == (
        "You keep this player's 2 racquets with S1, behind J1 until 01:20. "
        "Without that S2 could have it ready by 00:20."
    )


def test_where_a_bag_all_waits_its_turn_with_another_each_racquet_has_its_place_in_it() -> None:
    busy = job(9, started=Started(stringer="S2", machine="M2", start=0, end=75), player="Q")
    workload = desk(*bag(3, pinned_stringer="S1"), busy, stringers=two(pace=200))
    assert reason_of(workload, "J3").endswith("Without that S2 could have it ready by 01:35.")


def test_the_pin_is_named_where_others_are_busy_and_alone_it_could_be_ready() -> None:
    others = (job(n, player=f"Q{n}", due=20 * n, promised=20 * n, weight=20) for n in range(4, 10))
    full = Stringer(id="S2", windows=((0, 180),), home="M2")
    first = Stringer(id="S1", windows=((60, 600),), home="M1")
    workload = desk(job(1, pinned_stringer="S1", due=45), *others, stringers=(first, full))
    rows = [("J1", "S1", "M1", 60), *((f"J{n}", "S2", "M2", 20 * (n - 4)) for n in range(4, 10))]
    places = tuple(Assignment(job=j, stringer=s, machine=m, start=a, end=a + 20) for j, s, m, a in rows)
    plan = Plan(status="feasible", assignments=places, costs={})
    found = {one.job: one.reason for one in explain(workload, plan, remedies=False)}
    assert found["J1"] == (
        "Even alone it could not be ready before 01:20, since it is pinned to S1, who cannot start before 01:00."
    )


def test_the_pins_of_a_bag_are_lifted_together() -> None:
    workload = desk(*bag(3, pinned_stringer="S1"), stringers=two(pace=300))
    found = explain(workload, make_plan(workload, seconds=0.2, workers=1), seconds=0.2)
    (pin,) = {replace(remedy, short="") for one in found for remedy in one.remedies if remedy.kind == "pin"}
    assert pin.sentence == f"The pins of {pin.subject} and the player's 2 others lifted."
    assert sorted((pin.subject, *pin.others)) == ["J1", "J2", "J3"]


def test_less_late_is_help_after_what_mends_all_and_says_what_is_left() -> None:
    later = (Stringer(id="S1", windows=((60, 600),), home="M1"),)
    workload = desk(job(1, due=10, latest=10), job(2, due=10, latest=10), stringers=later, now=0)
    plan = make_plan(workload, seconds=0.2, workers=1)
    found = {one.job: one for one in explain(workload, plan, seconds=0.2)}
    *_, last = sorted(found, key=lambda name: plan.by_job()[name].end)
    (hand,) = (remedy for remedy in found[last].remedies if remedy.kind == "stringer")
    assert hand.mends == () and hand.short.startswith("By 00:")
    assert "in place of 01:40, still " in hand.short and hand.short.endswith(" min late.")


def test_a_place_that_is_late_is_help_for_what_had_none() -> None:
    workload = desk(job(1, due=15), stringers=(Stringer(id="S1", windows=((0, 10),)),))
    (found,) = explain(workload, make_plan(workload, seconds=0.2, workers=1), seconds=0.2)
    (hand,) = (remedy for remedy in found.remedies if remedy.kind == "stringer")
    assert (found.kind, hand.short) == ("unplaced", "By 00:20, still 5 min late.")


def test_a_machine_back_is_of_its_kind() -> None:
    machines = (Machine(id="M1", kind="constant_pull"), Machine(id="M2", kind="lockout", windows=((300, 600),)))
    jobs, own = bag(2, due=25, latest=25, weight=20), History(stringers=("S1", "S2"), machines=("M1",))
    workload = desk(*jobs, stringers=two(), machines=machines, history={"P": own})
    plain = replace(workload, machines=(machines[0], replace(machines[1], kind=None)))
    saved = []
    for one in (workload, plain):
        found = explain(one, make_plan(one, seconds=0.2, workers=1), seconds=0.2)
        saved += {remedy.saved for each in found for remedy in each.remedies if remedy.kind == "machine"}
    assert saved[1] - saved[0] == workload.points.extra_kind


def test_who_is_idle_is_named_and_nobody_is_called_busy() -> None:
    two = (Stringer(id="S1", windows=((0, 600),)), Stringer(id="S2", windows=((0, 600),)))
    first, second = job(1, player="P", promised=20), job(2, player="P", promised=25)
    rows = tuple(
        Assignment(job=j, stringer="S1", machine="M1", start=a, end=a + 20) for j, a in (("J1", 0), ("J2", 20))
    )
    plan = Plan(status="feasible", assignments=rows, costs={})
    (found,) = explain(desk(first, second, stringers=two), plan, remedies=False)
    assert found.reason == "S2 could start it at 00:00; the plan leaves it to S1, with whom the player's racquets are."


def test_one_whose_time_has_passed_and_that_starts_at_once_waits_for_nobody() -> None:
    workload = desk(job(1, due=30), now=40)
    assert reason_of(workload) == "Its needed-by time has passed. It is to start at once, with S1 on machine M1."


def test_a_queue_says_until_when_everybody_is_busy() -> None:
    workload = desk(*(job(n, due=20 * n + (-5 if n == 3 else 0), weight=5) for n in (1, 2, 3)))
    plan = make_plan(workload, seconds=0.2, workers=1)
    found = explain(workload, plan, remedies=False)
    assert [one.kind for one in found] == ["late"]
    assert found[0].reason.startswith("No free stringer before 00:40")


def test_what_is_tight_is_explained_only_when_asked_for() -> None:
    workload = desk(*(job(n, due=30, latest=40, weight=5) for n in (1, 2)))
    plan = make_plan(workload, seconds=0.2, workers=1)
    assert explain(workload, plan, remedies=False) == []
    (found,) = explain(workload, plan, tight=True)
    assert (found.kind, found.minutes, found.remedies) == ("tight", 10, ())
    assert found.reason.startswith("No free stringer before 00:20")


def test_a_job_without_anybody_at_work_says_so() -> None:
    workload = desk(job(1), stringers=())
    assert reason_of(workload) == "No stringer is on the team."


def test_ids_are_said_as_the_caller_speaks_them() -> None:
    started = job(2, started=Started(stringer="S1", machine="M1", start=0, end=50), due=30)
    workload = desk(started)
    plan = make_plan(workload, seconds=0.2)
    found = explain(workload, plan, remedies=False, names={"S1": "Wenna", "M1": "Bench 1"})
    assert found[0].reason == "It is on Bench 1 with Wenna until 00:50."


def test_one_more_stringer_is_a_remedy_where_it_mends() -> None:
    workload = desk(job(1, due=20, weight=5), job(2, due=20, weight=5))
    plan = make_plan(workload, seconds=0.2, workers=1)
    (found,) = explain(workload, plan, seconds=0.2)
    first = found.remedies[0]
    assert (first.kind, first.span, first.mends) == ("stringer", (0, 120), (found.job,))
    assert first.sentence == "One more stringer from 00:00 to 02:00 at machine M2."


def test_a_machine_back_is_a_remedy_where_it_mends() -> None:
    two = (Stringer(id="S1", windows=((0, 600),)), Stringer(id="S2", windows=((0, 600),)))
    machines = (Machine(id="M1"), Machine(id="M2", windows=((300, 600),)))
    workload = desk(job(1, due=20, weight=5), job(2, due=20, weight=5), stringers=two, machines=machines)
    (found,) = explain(workload, make_plan(workload, seconds=0.2, workers=1), seconds=0.2)
    assert [r.sentence for r in found.remedies if r.kind == "machine"] == ["Machine M2 back in service at 00:00."]


def test_another_promise_moved_is_a_remedy_where_it_mends() -> None:
    first, second = job(1, promised=20), job(2, promised=25)
    places = [("J1", 0, 20), ("J2", 20, 40)]
    rows = tuple(Assignment(job=j, stringer="S1", machine="M1", start=a, end=b) for j, a, b in places)
    workload = desk(first, second, machines=(Machine(id="M1"),))
    plan = Plan(status="feasible", assignments=rows, costs={"promise": 1500, "waiting": 60})
    (found,) = explain(workload, plan, seconds=0.2)
    assert [r.sentence for r in found.remedies if r.kind == "promise"] == ["The promise of J1 moved to 00:40."]


@settings(max_examples=60, deadline=None)
@given(workloads())
@pytest.mark.slow
def test_every_trouble_has_a_reason(workload: Workload) -> None:
    plan = make_plan(workload, seconds=0.05, workers=1)
    found = explain(workload, plan, remedies=False)
    assert [one.job for one in found] == [t.job for t in find_troubles(workload, plan)]
    assert all(one.reason.endswith(".") for one in found)
