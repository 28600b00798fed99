"""Who works at which machine when."""

from solver.rehearsal import Outage, Team
from solver.rehearsal.dealing import deal, tables
from tests.solver.make import make_machine, make_stringer


def team(stringers, machines):
    return Team(name="team", stringers=tuple(stringers), machines=tuple(machines))


def test_everybody_works_at_home():
    people = [make_stringer(1, windows=((0, 100), (120, 200))), make_stringer(2, windows=((50, 200),))]
    assert deal(team(people, [make_machine(1), make_machine(2)])) == [[(0, 100, 0), (120, 200, 0)], [(50, 200, 1)]]


def test_one_without_a_machine_works_where_another_has_a_break():
    people = [make_stringer(1, windows=((0, 100), (120, 200))), make_stringer(2, windows=((0, 200),), home=None)]
    assert deal(team(people, [make_machine(1)])) == [[(0, 100, 0), (120, 200, 0)], [(100, 120, 0)]]


def test_a_spare_machine_is_taken_before_one_that_somebody_calls_home():
    people = [make_stringer(1, windows=((100, 200),)), make_stringer(2, windows=((0, 200),), home=None)]
    assert deal(team(people, [make_machine(1), make_machine(9)])) == [[(100, 200, 0)], [(0, 200, 1)]]


def test_the_benches_are_dealt_anew_when_one_fails_and_when_it_is_back():
    people = [make_stringer(1, windows=((0, 200),))]
    out = Outage(machine="M1", start=50, end=80)
    turns, number, times = tables(team(people, [make_machine(1), make_machine(2)]), [out])
    assert times.tolist()[1:] == [50, 80]
    assert number.tolist() == [[1], [3], [1]]
    assert turns[1, 0].tolist() == [[0, 50, 0], [50, 80, 1], [80, 200, 0]]


def test_hours_count_the_minutes_on_shift():
    assert team([make_stringer(1, windows=((0, 100), (120, 200)))], []).hours(50, 150) == 80
