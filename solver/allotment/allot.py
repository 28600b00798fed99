"""The OR-Tools model of the allotment: one stringer a player, overload and unfairness priced."""

import time
from collections.abc import Mapping
from typing import Any

from ortools.sat.python import cp_model

from solver.allotment.allotment_problem import Allotment, AllotmentProblem, Hand, Wanted
from solver.allotment.consequence import points_of
from solver.warming import solving

Given = dict[tuple[str, str], cp_model.IntVar]


def allot(problem: AllotmentProblem, *, seconds: float = 10.0, seed: int = 0, workers: int = 2) -> Allotment:
    """Give each player an own stringer.

    Parameters
    ----------
    seconds : float
        Time to take at most; an allotment that is proved best comes sooner.

    Raises
    ------
    ValueError
        When there are players and no stringer, or one is fixed to somebody unknown.
    """
    began = time.perf_counter()
    _check(problem)
    if not problem.players:
        return Allotment(stringer_of={}, costs=points_of(problem, {}), bound=0, seconds=0.0)
    start = in_turn(problem)
    model = cp_model.CpModel()
    given = _one_stringer_each(model, problem)
    model.minimize(
        sum(_overload(model, problem, given))
        + sum(_wishes(problem, given))
        + sum(_players_apart(model, problem, given))
        + sum(_groups(model, problem, given))
    )
    for (player, hand), taken in given.items():
        model.add_hint(taken, start[player] == hand)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    with solving():
        status = solver.solve(model)
    found = start
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found = {player: hand for (player, hand), taken in given.items() if solver.boolean_value(taken)}
    costs = points_of(problem, found)
    bound = min(sum(costs.values()), max(0, round(solver.best_objective_bound)))
    return Allotment(stringer_of=found, costs=costs, bound=bound, seconds=time.perf_counter() - began)


def in_turn(problem: AllotmentProblem) -> dict[str, str]:
    """Give a quick allotment: the busiest player first, each to whom it costs least then."""
    found: dict[str, str] = {}
    load = {hand.id: 0 for hand in problem.hands}
    hours = {hand.id: max(1, sum(hand.minutes.values())) for hand in problem.hands}
    for player in sorted(problem.players, key=lambda one: -sum(one.minutes.values())):
        minutes = sum(player.minutes.values())

        def cost(hand: Hand, player: Wanted = player, minutes: int = minutes) -> tuple[int, float]:
            p, mine = problem.points, hand.id
            price = problem.skill_points(player, hand) + p.apart * ((player.id, mine) in problem.apart)
            price += p.wish * (problem.wishes.get(player.id, mine) != mine)
            price += p.changed * (problem.before.get(player.id, mine) != mine)
            return price, (load[mine] + minutes) / hours[mine]

        fixed = problem.fixed.get(player.id)
        chosen = fixed or min(problem.hands, key=cost).id
        found[player.id] = chosen
        load[chosen] += minutes
    return found


def _check(problem: AllotmentProblem) -> None:
    names = {hand.id for hand in problem.hands}
    if problem.players and not names:
        raise ValueError("There is no stringer to give the players to.")
    for player, hand in problem.fixed.items():
        if hand not in names:
            raise ValueError(f"{player} is fixed to {hand}, who is not in the team.")


def _one_stringer_each(model: cp_model.CpModel, problem: AllotmentProblem) -> Given:
    given = {
        (player.id, hand.id): model.new_bool_var(f"{player.id} with {hand.id}")
        for player in problem.players
        for hand in problem.hands
    }
    for player in problem.players:
        model.add_exactly_one(given[player.id, hand.id] for hand in problem.hands)
        if player.id in problem.fixed:
            model.add(given[player.id, problem.fixed[player.id]] == 1)
    return given


def _overload(model: cp_model.CpModel, problem: AllotmentProblem, given: Given) -> list[Any]:
    """Price the minutes beyond the hands on shift, beyond the fair share of a day, beyond the most a day."""
    p = problem.points
    terms: list[Any] = []
    for hand in problem.hands:
        days: dict[int, list[Any]] = {}
        for slot in problem.slots:
            work: Any = sum(
                minutes * given[player.id, hand.id]
                for player in problem.players
                if (minutes := problem.minutes_with(player, hand, slot))
            )
            if isinstance(work, int):
                continue
            days.setdefault(slot[0], []).append(work)
            terms.append(p.over_hour * _past(model, work, hand.minutes.get(slot, 0), problem))
        for day, parts in days.items():
            work = sum(parts)
            terms.append(p.unfair * _past(model, work, problem.fair_share(hand, day), problem))
            if hand.most_a_day is not None:
                terms.append(p.over_most * _past(model, work, hand.most_a_day, problem))
    return terms


def _past(model: cp_model.CpModel, work: Any, limit: int, problem: AllotmentProblem) -> cp_model.IntVar:
    slowest = max(hand.pace for hand in problem.hands)
    most = sum(-(-m * slowest // 100) for player in problem.players for m in player.minutes.values())
    past = model.new_int_var(0, max(0, most), "")
    model.add(past >= work - limit)
    return past


def _wishes(problem: AllotmentProblem, given: Given) -> list[Any]:
    """Price wishes not kept, players with whom they are kept apart from, changes, and skills that are missing."""
    p, hands = problem.points, {hand.id for hand in problem.hands}
    terms: list[Any] = []
    for player in problem.players:
        for price, kept in ((p.wish, problem.wishes), (p.changed, problem.before)):
            if kept.get(player.id) in hands:
                terms.append(price * (1 - given[player.id, kept[player.id]]))
        for hand in problem.hands:
            price = p.apart * ((player.id, hand.id) in problem.apart) + problem.skill_points(player, hand)
            if price:
                terms.append(price * given[player.id, hand.id])
    return terms


def _players_apart(model: cp_model.CpModel, problem: AllotmentProblem, given: Given) -> list[Any]:
    """Price each stringer who has both of two players who are not to have the same."""
    terms: list[Any] = []
    for one, other in sorted(problem.players_apart):
        for hand in problem.hands:
            if (one, hand.id) not in given or (other, hand.id) not in given:
                continue
            both = model.new_bool_var("")
            model.add(both >= given[one, hand.id] + given[other, hand.id] - 1)
            terms.append(problem.points.apart * both)
    return terms


def _groups(model: cp_model.CpModel, problem: AllotmentProblem, given: Given) -> list[Any]:
    """Price each stringer beyond the first among players who belong together."""
    known: Mapping[str, Wanted] = {player.id: player for player in problem.players}
    terms: list[Any] = []
    for group in problem.groups:
        members = [name for name in sorted(group) if name in known]
        if len(members) < 2:
            continue
        used = []
        for hand in problem.hands:
            one = model.new_bool_var("")
            model.add_max_equality(one, [given[name, hand.id] for name in members])
            used.append(one)
        terms.append(problem.points.group * (sum(used) - 1))
    return terms
