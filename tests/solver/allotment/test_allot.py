"""Whose players: fair, by skill and wish, changed as little as possible; and as good as by trying all."""

import itertools
import random

import pytest

from solver.allotment import AllotmentProblem, Hand, Wanted, allot, points_of

SECONDS = 20


def player(number, minutes=60, **over):
    """A player with so many minutes on the morning of the first day."""
    by_slot = minutes if isinstance(minutes, dict) else {(0, 0): minutes}
    return Wanted(**{"id": f"P{number}", "minutes": by_slot} | over)


def hand(number, minutes=240, **over):
    """A stringer on shift in the morning and in the afternoon of the first day."""
    return Hand(**{"id": f"S{number}", "minutes": {(0, 0): minutes, (0, 1): minutes}} | over)


def given(players, hands, **over):
    """The allotment, which must be proved best, and its problem."""
    problem = AllotmentProblem(players=tuple(players), hands=tuple(hands), **over)
    found = allot(problem, seconds=SECONDS, workers=1)
    assert found.gap == 0
    assert dict(found.costs) == points_of(problem, found.stringer_of)
    return found.stringer_of


def test_work_is_shared_by_the_hours_on_shift():
    found = given([player(i) for i in range(6)], [hand(1), hand(2, minutes=120)])
    assert sorted(found.values()).count("S1") == 4


def test_players_of_one_hour_are_not_all_given_to_one_who_is_there_then():
    early = [player(i, minutes={(0, 0): 100}) for i in range(2)]
    late = [player(i, minutes={(0, 1): 100}) for i in range(2, 4)]
    found = given([*early, *late], [hand(1, minutes=120), hand(2, minutes=120)])
    assert found["P0"] != found["P1"]
    assert found["P2"] != found["P3"]


def test_gut_goes_to_whoever_may_string_it():
    found = given([player(0, gut=True), player(1)], [hand(1, gut=False), hand(2)])
    assert found == {"P0": "S2", "P1": "S1"}


def test_a_wish_is_kept_and_those_to_be_kept_apart_are():
    found = given([player(0), player(1)], [hand(1), hand(2)], wishes={"P0": "S2"}, apart=frozenset({("P1", "S1")}))
    assert found["P0"] == "S2"
    assert found["P1"] == "S2"


def test_two_who_are_not_to_have_the_same_stringer_do_not():
    pair, apart = [player(0), player(1)], frozenset({("P0", "P1")})
    assert set(given(pair, [hand(1), hand(2, minutes=1)], players_apart=apart).values()) == {"S1", "S2"}
    assert set(given(pair, [hand(1), hand(2, minutes=1)]).values()) == {"S1"}


def test_whoever_sends_racquets_from_the_court_gets_somebody_who_takes_them():
    found = given([player(0, from_court=30), player(1)], [hand(1, on_court=False), hand(2)])
    assert found == {"P0": "S2", "P1": "S1"}


def test_partners_go_together_where_that_is_free():
    four = [player(i) for i in range(4)]
    found = given(four, [hand(1), hand(2)], groups=(frozenset({"P0", "P3"}),))
    assert found["P0"] == found["P3"]
    assert sorted(found.values()) == ["S1", "S1", "S2", "S2"]


def test_what_is_fixed_by_hand_stands():
    assert given([player(0)], [hand(1), hand(2)], fixed={"P0": "S2"}, wishes={"P0": "S1"}) == {"P0": "S2"}


def test_when_a_stringer_goes_only_the_players_of_that_stringer_move():
    six = [player(i, minutes=40) for i in range(6)]
    before = given(six, [hand(1), hand(2), hand(3)])
    after = given(six, [hand(1), hand(2)], before=before)
    moved = {name for name in before if before[name] != after[name]}
    assert moved == {name for name, stringer in before.items() if stringer == "S3"}


def test_points_say_what_a_change_by_hand_costs():
    problem = AllotmentProblem(players=(player(0), player(1)), hands=(hand(1, minutes=60), hand(2, minutes=60)))
    before, after = points_of(problem, {"P0": "S1", "P1": "S2"}), points_of(problem, {"P0": "S1", "P1": "S1"})
    assert {name: after[name] - before[name] for name in after if after[name] != before[name]} == {
        "over_hour": 600,
        "unfair": 240,
    }


@pytest.mark.parametrize("seed", range(6))
def test_small_problems_are_solved_as_by_trying_all(seed):
    dice = random.Random(seed)
    players = [
        player(i, minutes={(d, h): dice.randint(0, 90) for d in (0, 1) for h in (0, 1)}, gut=dice.random() < 0.3)
        for i in range(5)
    ]
    hands = [hand(i, minutes=dice.randint(30, 120), pace=dice.choice([90, 110]), gut=i > 0) for i in range(3)]
    problem = AllotmentProblem(
        players=tuple(players),
        hands=tuple(hands),
        wishes={"P1": "S2"},
        groups=(frozenset({"P2", "P3"}),),
        before={"P4": "S0"},
    )
    names = [one.id for one in hands]
    every = (dict(zip([p.id for p in players], who, strict=True)) for who in itertools.product(names, repeat=5))
    best = min(sum(points_of(problem, who).values()) for who in every)
    found = allot(problem, seconds=SECONDS, workers=1)
    assert (found.total, found.bound) == (best, best)


def test_nobody_to_give_players_to_is_refused():
    with pytest.raises(ValueError, match="no stringer"):
        allot(AllotmentProblem(players=(player(0),), hands=()))
    with pytest.raises(ValueError, match="not in the team"):
        allot(AllotmentProblem(players=(player(0),), hands=(hand(1),), fixed={"P0": "S9"}))
    assert allot(AllotmentProblem(players=(), hands=())).stringer_of == {}
