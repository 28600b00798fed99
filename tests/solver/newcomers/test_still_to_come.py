"""Racquets that are still to come: whom they push back, and by how much."""

from dataclasses import replace

import pytest

from solver.contract.workload import Started
from solver.newcomers.still_to_come import COME_BEFORE, IN_HAND, pushed_back
from tests.solver.make import make_job, make_stringer, make_workload, put

OPEN = ((0, 480),)


def day(count, *, due, team=1, now=0, **over):
    """So many racquets of 20 minutes, each needed at DUE, and benches that are open from 0 to 480."""
    jobs = tuple(make_job(i, player=f"P{i}", due=due) for i in range(1, count + 1))
    people = tuple(make_stringer(i, windows=OPEN) for i in range(1, team + 1))
    known = {"jobs": jobs, "stringers": people, "now": now}
    return replace(make_workload(team=team), **(known | over))


def mixed(count, **over):
    """A day of which every second racquet has more time than the others."""
    workload = day(count, due=300, **over)
    jobs = (replace(job, due=470) if number % 2 else job for number, job in enumerate(workload.jobs))
    return replace(workload, jobs=tuple(jobs))


def in_rows(count, team=1):
    """Racquets dealt out to the benches, one after the other without a gap."""
    return [put(i, 1 + (i - 1) % team, 20 * ((i - 1) // team)) for i in range(1, count + 1)]


def mean(pushed):
    return sum(pushed.values()) / len(pushed)


def test_nothing_is_pushed_on_a_day_with_room():
    found = pushed_back(day(4, due=470), in_rows(4))
    assert found == dict.fromkeys(["J1", "J2", "J3", "J4"], 0.0)


def test_the_fuller_the_day_the_more_is_pushed():
    pushes = [mean(pushed_back(mixed(count), in_rows(count))) for count in (4, 8, 12, 16)]
    assert pushes == sorted(pushes)
    assert pushes[0] < 1 < pushes[-1]


def test_what_can_wait_is_pushed_more_than_what_cannot():
    found = pushed_back(mixed(14), in_rows(14))
    can_wait = mean({f"J{i}": found[f"J{i}"] for i in range(8, 15, 2)})
    cannot = mean({f"J{i}": found[f"J{i}"] for i in range(7, 15, 2)})
    assert can_wait > cannot


def test_what_can_begin_now_is_pushed_by_nobody():
    found = pushed_back(day(24, due=300, team=2), in_rows(24, 2))
    assert found["J1"] == found["J2"] == 0.0


def test_nobody_comes_for_what_is_needed_before_anybody_could_come():
    assert set(pushed_back(day(20, due=COME_BEFORE[0] - 1), in_rows(20)).values()) == {0.0}


def test_a_newcomer_only_one_may_take_pushes_back_at_that_bench_alone():
    workload = day(24, due=300, team=2)
    jobs = tuple(replace(job, stringers=("S1",)) for job in workload.jobs)
    found = pushed_back(replace(workload, jobs=jobs), in_rows(24, 2))
    assert sum(found[f"J{i}"] for i in range(1, 25, 2)) > 0
    assert {found[f"J{i}"] for i in range(2, 25, 2)} == {0.0}


def test_one_newcomer_pushes_by_its_length_where_it_must():
    """One bench without a gap until the need: whoever comes in the middle pushes all behind by its 20 minutes."""
    count = 12
    workload = day(count, due=20 * count + IN_HAND)
    found = pushed_back(workload, in_rows(count))
    last = found[f"J{count}"]
    assert found["J1"] == 0.0
    assert last == max(found.values()) > 20


def test_what_is_begun_is_not_told_of_and_the_same_is_drawn_again():
    workload = day(10, due=300, now=5)
    begun = make_job(1, player="P1", due=300, started=Started(stringer="S1", machine="M1", start=0, end=20))
    workload = replace(workload, jobs=(begun, *workload.jobs[1:]))
    found = pushed_back(workload, in_rows(10))
    assert "J1" not in found
    assert found == pushed_back(workload, in_rows(10))


@pytest.mark.parametrize("team", [0, 1])
def test_without_racquets_or_people_nothing_is_pushed(team):
    assert pushed_back(day(0, due=1, team=team), []) == {}
