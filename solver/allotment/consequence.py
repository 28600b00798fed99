"""What an allotment costs, recomputed without a solver."""

from collections import defaultdict
from collections.abc import Mapping

from solver.allotment.allotment_problem import AllotmentProblem, Slot

HEADINGS = ("over_hour", "unfair", "over_most", "wish", "apart", "group", "changed", "skill")


def points_of(problem: AllotmentProblem, stringer_of: Mapping[str, str]) -> dict[str, int]:
    """Give the points of an allotment by heading; a player without a stringer is an error."""
    p, hands = problem.points, {hand.id: hand for hand in problem.hands}
    by_slot, by_day = _work(problem, stringer_of)
    cost = dict.fromkeys(HEADINGS, 0)
    for hand in problem.hands:
        for slot in problem.slots:
            cost["over_hour"] += p.over_hour * max(0, by_slot[hand.id, slot] - hand.minutes.get(slot, 0))
        for day in {day for day, _ in problem.slots}:
            work = by_day[hand.id, day]
            cost["unfair"] += p.unfair * max(0, work - problem.fair_share(hand, day))
            if hand.most_a_day is not None:
                cost["over_most"] += p.over_most * max(0, work - hand.most_a_day)
    for player in problem.players:
        mine = stringer_of[player.id]
        if problem.wishes.get(player.id, mine) != mine and problem.wishes[player.id] in hands:
            cost["wish"] += p.wish
        cost["apart"] += p.apart * ((player.id, mine) in problem.apart)
        cost["changed"] += p.changed * (
            problem.before.get(player.id, mine) != mine and problem.before[player.id] in hands
        )
        cost["skill"] += problem.skill_points(player, hands[mine])
    for one, other in problem.players_apart:
        cost["apart"] += p.apart * (one in stringer_of and stringer_of[one] == stringer_of.get(other))
    for group in problem.groups:
        used = {stringer_of[name] for name in group if name in stringer_of}
        cost["group"] += p.group * max(0, len(used) - 1)
    return cost


def _work(
    problem: AllotmentProblem, stringer_of: Mapping[str, str]
) -> tuple[dict[tuple[str, Slot], int], dict[tuple[str, int], int]]:
    by_slot: dict[tuple[str, Slot], int] = defaultdict(int)
    by_day: dict[tuple[str, int], int] = defaultdict(int)
    hands = {hand.id: hand for hand in problem.hands}
    for player in problem.players:
        hand = hands[stringer_of[player.id]]
        for slot in player.minutes:
            minutes = problem.minutes_with(player, hand, slot)
            by_slot[hand.id, slot] += minutes
            by_day[hand.id, slot[0]] += minutes
    return by_slot, by_day
