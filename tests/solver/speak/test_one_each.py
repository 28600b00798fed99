"""One racquet for each first: tried by planning with it, like the other remedies (common practice)."""

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


def test_nothing_is_shared_where_all_are_in_time() -> None:
    assert sentences(desk(*bag("A", 10, 5)), "later") == set()
