"""What a move is estimated to add, beside what it adds."""

import numba
import pytest

from solver import Points
from solver.search.kernels.anneal import propose
from solver.search.kernels.commit import clear_trial, count_changes, take_back
from solver.search.kernels.decode import decode
from solver.search.kernels.estimate import estimate
from solver.search.kernels.kernel import run_build
from solver.search.kernels.layout import HUGE, Search
from solver.search.kernels.memory import OPTIONS, pointer_maker
from solver.search.state import State
from tests.solver.make import make_job, make_stringer, make_workload

pytestmark = pytest.mark.slow
RELOCATE, EXCHANGE, GATHER = 2, 3, 7
search_in = pointer_maker(Search)


@numba.njit(**OPTIONS)
def try_out(memory, kind, job):
    """Propose a move and take it back; give what it is estimated to add and what it adds."""
    s = search_in(memory)
    guessed = added = 0
    if propose(s, kind, job):
        guessed = added = count_changes(s, False)
        for number in range(s.slot_count):
            guessed += estimate(s, number)
        for number in range(s.slot_count):
            added += decode(s, number, HUGE, False)
        take_back(s)
    clear_trial(s)
    return guessed, added


def tried(jobs, kind):
    """So many pairs of both, of moves of a kind, in a first plan for three stringers."""
    team = [make_stringer(i, windows=((0, 100_000),)) for i in (1, 2, 3)]
    state = State(make_workload(team=3, stringers=team, jobs=jobs), Points(), seed=1)
    state.give(())
    state.put_in_sequence(state.tables["jobs"]["ready"])
    run_build(state.record, False)
    return [try_out(state.record, kind, job) for _ in range(40) for job in range(len(jobs))]


def bags(**over):
    """Ten bags of three racquets, of various minutes."""
    return tuple(make_job(i, player=f"P{i // 3}", minutes=18 + i % 7, **over) for i in range(30))


@pytest.mark.parametrize("kind", [RELOCATE, EXCHANGE, GATHER])
def test_where_each_minute_costs_alike_it_is_what_the_move_adds(kind):
    moves = [(guessed, added) for guessed, added in tried(bags(), kind) if added]
    assert len(moves) > 100
    assert all(guessed <= added for guessed, added in moves)  # less where another uses the machine meanwhile
    assert sum(guessed == added for guessed, added in moves) > 0.9 * len(moves)


@pytest.mark.parametrize("kind", [RELOCATE, EXCHANGE])
def test_where_lateness_begins_at_the_need_what_gains_is_not_taken_for_a_loss(kind):
    pairs = tried(bags(due=150, latest=200), kind)
    gains = [(guessed, added) for guessed, added in pairs if added < 0]
    assert len(gains) > 5
    assert all(guessed < 0 for guessed, _ in gains)
