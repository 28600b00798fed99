"""Quotes of new jobs: the place is free, what is sooner keeps every rule, and the price is what it costs."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver import Assignment, Plan, Sooner, Workload, check_plan, cost_of, make_plan, quote
from solver.contract.workload import Job, Machine, Stringer
from solver.quote import _front
from tests.solver.strategies import workloads


def desk(*jobs: Job, people: int = 1, until: int = 600, now: int = 0) -> Workload:
    return Workload(
        now=now,
        stringers=tuple(Stringer(id=f"S{n}", windows=((0, until),), home=f"M{n}") for n in range(people)),
        machines=tuple(Machine(id=f"M{n}") for n in range(people)),
        jobs=jobs,
    )


def planned(*places: tuple[str, int, int]) -> Plan:
    rows = tuple(Assignment(job=job, stringer="S0", machine="M0", start=a, end=b) for job, a, b in places)
    return Plan(status="feasible", assignments=rows, costs={})


def new(**over: object) -> Job:
    return Job(**({"id": "new", "player": "P9", "minutes": 20} | over))


def test_quote_at_an_empty_desk_is_the_first_minute() -> None:
    found = quote(desk(now=30), planned(), new(due=60))
    assert (found.place.start, found.place.end, found.late) == (30, 50, 0)


def test_quote_takes_the_bench_minutes_of_the_racquet() -> None:
    places = [quote(desk(), planned(), new(minutes=minutes)).place for minutes in (22, 45)]
    assert [place.end for place in places] == [22, 45]


def test_quote_tells_tight_from_late() -> None:
    found = [quote(desk(), planned(), new(due=10, latest=latest)) for latest in (20, 15)]
    assert [(one.tight, one.late) for one in found] == [(10, 0), (0, 5)]


def test_quote_waits_until_the_strings_are_fresh_where_that_costs_less() -> None:
    assert quote(desk(), planned(), new(fresh_from=100)).best.place.start == 100
    assert quote(desk(), planned(), new(fresh_from=100, due=30, weight=5)).best.place.start == 0


def test_quote_waits_for_what_is_planned() -> None:
    workload = desk(Job(id="J1", player="P1", minutes=20))
    assert quote(workload, planned(("J1", 0, 20)), new()).place.start == 20


def test_quote_stays_behind_what_it_is_to_come_after() -> None:
    workload = desk(*(Job(id=f"J{n}", player="P1", minutes=20) for n in (1, 2)), people=2)
    plan = planned(("J1", 40, 60), ("J2", 60, 80))
    found = quote(workload, plan, new(after=("J1",), stringers=("S0",)))
    assert {found.place.start, found.best.place.start, *(one.place.start for one in found.sooner)} == {80, 60}
    assert quote(workload, plan, new(after=("J1",))).best.place.stringer == "S1"


def test_quote_uses_a_gap_that_is_long_enough() -> None:
    workload = desk(Job(id="J1", player="P1", minutes=20), Job(id="J2", player="P1", minutes=20))
    assert quote(workload, planned(("J1", 0, 20), ("J2", 45, 65)), new()).place.start == 20


def test_quote_passes_a_gap_that_is_too_short() -> None:
    workload = desk(Job(id="J1", player="P1", minutes=20), Job(id="J2", player="P1", minutes=20))
    assert quote(workload, planned(("J1", 0, 20), ("J2", 39, 59)), new()).place.start == 59


def test_quote_prices_what_going_sooner_costs_the_others() -> None:
    waiting = Job(id="J1", player="P1", minutes=20, due=25, weight=5)
    found = quote(desk(waiting), planned(("J1", 0, 20)), new(due=20, weight=20))
    sooner = found.sooner[-1]
    assert (sooner.place.start, sooner.breaks, sooner.price) == (0, ("J1",), 100 * 5 * 15 + 20)


def test_quote_names_a_promise_that_going_sooner_breaks() -> None:
    promised = Job(id="J1", player="P1", minutes=20, promised=30)
    assert quote(desk(promised), planned(("J1", 0, 20)), new()).sooner[-1].breaks == ("J1",)


def test_quote_without_hours_left_says_why() -> None:
    found = quote(desk(until=10), planned(), new())
    assert (found.place, found.best) == (None, None)
    assert "free together" in found.why_not


def test_quote_of_a_job_that_nobody_may_take_says_why() -> None:
    assert "No stringer may take it" in quote(desk(), planned(), new(stringers=())).why_not


def test_on_a_full_day_only_what_matters_more_leaves_another_out() -> None:
    full = desk(Job(id="J1", player="P1", minutes=20, due=60), until=30)
    plan = planned(("J1", 0, 20))
    best = quote(full, plan, new(due=0, weight=100)).best
    assert (best.place.start, best.moved, best.left_out, best.breaks) == (0, (), ("J1",), ("J1",))
    assert quote(full, plan, new(due=0, weight=100)).sooner == ()
    assert quote(full, plan, new(due=60)).best is None


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(workloads(), st.integers(1, 40), st.integers(0, 150), st.none() | st.integers(0, 260))
def test_every_offer_keeps_the_rules_at_its_price(
    workload: Workload, minutes: int, ready: int, due: int | None
) -> None:
    plan = make_plan(workload, seconds=0.05, workers=1)
    job = new(minutes=minutes, ready_from=ready, due=due)
    found = quote(workload, plan, job)
    bigger = replace(workload, jobs=(*workload.jobs, job))
    before = sum(cost_of(workload, plan).values())
    offers = [*found.sooner, *([found.best] if found.best else [])]
    for offer in offers:
        moved = {a.job: a for a in offer.moved}
        rows = (*(moved.get(a.job, a) for a in plan.assignments if a.job not in offer.left_out), offer.place)
        after = replace(plan, assignments=rows, unplaced=(*plan.unplaced, *offer.left_out))
        assert check_plan(bigger, after) == []
        own = sum(cost_of(bigger, replace(plan, assignments=(offer.place,), unplaced=())).values())
        saved = before + offer.price + own - sum(cost_of(bigger, after).values())
        # The rest of a bag of which one is left out may be with fewer hands; the price does not look at bags.
        assert saved >= 0 if offer.left_out else saved == 0


def test_of_many_offers_the_cheapest_one_between_and_the_soonest_are_named() -> None:
    places = [Assignment(job="new", stringer="S", machine="M", start=end - 20, end=end) for end in (90, 80, 70, 60, 50)]
    offers = [Sooner(place=place, moved=(), price=price, breaks=()) for price, place in enumerate(places)]
    assert [offer.place.end for offer in _front(iter(offers))] == [90, 70, 50]
    assert [offer.place.end for offer in _front(iter(offers[:3]))] == [90, 80, 70]
