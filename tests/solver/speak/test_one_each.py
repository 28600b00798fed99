"""One racquet for each first: tried by planning with it, like the other remedies (common practice)."""

from dataclasses import replace

from solver.contract.workload import Job, Machine, Stringer, Workload
from solver.planning import make_plan
from solver.speak.explain import explain


def desk(*jobs: Job) -> Workload:
    return Workload(
        stringers=(Stringer(id="S1", home="M1", windows=((0, 600),)),), machines=(Machine(id="M1"),), jobs=jobs
    )


def bag(player: str, *weights: int) -> list[Job]:
    return [Job(id=f"{player}{n}", player=player, minutes=20, due=45, weight=w) for n, w in enumerate(weights, start=1)]


def sentences(workload: Workload, kind: str) -> set[str]:
    found = explain(workload, make_plan(workload, seconds=0.2, workers=1), seconds=0.2)
    return {remedy.sentence for one in found for remedy in one.remedies if remedy.kind == kind}


def test_where_a_match_is_on_top_of_two_each_gets_one_first() -> None:
    workload = desk(*bag("A", 10, 5), *bag("B", 10, 5))
    assert sentences(workload, "one_each") == {"One racquet for each in time, the rest to the court during the match."}


def test_one_bag_alone_is_parted_into_now_and_later() -> None:
    workload = desk(*bag("A", 10, 5, 3))
    assert sentences(workload, "one_each") == set()
    assert sentences(workload, "later") == {"Take A1 and A2 now, A3 later to the court."}
    assert sentences(workload, "ask") == {"Ask which racquet matters: A3 is in time if A1 waits."}


def test_where_there_is_time_for_one_of_a_bag_the_others_follow_and_no_half_remedy_is_offered() -> None:
    workload = desk(*(Job(id=f"R{n}", player="R", minutes=20, due=25, latest=30, weight=10) for n in (1, 2, 3)))
    found = explain(workload, make_plan(workload, seconds=0.2, workers=1), seconds=0.2)
    second, third = sorted(one.job for one in found)
    (first,) = {"R1", "R2", "R3"} - {second, third}
    assert sentences(workload, "one_each") == set()
    assert sentences(workload, "later") == {f"Take {first} now, {second} and {third} later to the court."}
    asked = {one.job: [r for r in one.remedies if r.kind == "ask"] for one in found}
    assert [r.sentence for r in asked[second]] == [
        f"Ask which racquet matters: {second} is in time if {first} and {third} wait."
    ]
    assert [r.short for one in found for r in one.remedies if r.kind in ("later", "ask")] == [""] * 4


def test_what_leaves_another_of_the_bag_late_says_so_and_promises_nothing_in_time() -> None:
    workload = desk(*bag("A", 10, 10, 10), Job(id="B", player="B", minutes=30, due=30, weight=100))
    plan = make_plan(workload, seconds=0.2, workers=1)
    found = {one.job: one.remedies for one in explain(workload, plan, seconds=0.2)}
    first = min(("A1", "A2", "A3"), key=lambda name: plan.by_job()[name].start)
    assert found.pop(first) == ()
    for remedies in found.values():
        assert [(r.kind, r.short) for r in remedies] == [("later", f"{first} is 5 min late then.")]


def test_what_mends_the_whole_bag_goes_before_what_leaves_one_of_it_late() -> None:
    jobs = (replace(one, due=25, latest=30) for one in bag("R", 10, 5, 3))
    workload = replace(desk(*jobs), machines=(Machine(id="M1"), Machine(id="M2")))
    plan = make_plan(workload, seconds=0.2, workers=1)
    third, second = explain(workload, plan, seconds=0.2)
    assert [r.kind for r in third.remedies] == [r.kind for r in second.remedies] == ["later", "ask", "stringer"]
    assert third.remedies[-1].short == "By 00:40 in place of 01:00, still 10 min late."
    assert second.remedies[-1].short == f"{third.job} is 10 min late then."


def test_nothing_is_shared_where_all_are_in_time() -> None:
    assert sentences(desk(*bag("A", 10, 5)), "later") == set()
