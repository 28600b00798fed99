"""What a late minute of each racquet counts: the first that the player would have for a match most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Event, Job
from desk.queries.play.next_match import NeededBy
from desk.trade.play.needed_by import FIRST, LATER, bag_weight

STRUNG = ("strung", "handed_over")
Bag = tuple[int, int | None]
"""A player and the match that their racquets are for."""


class Bags:
    """Counts the racquets of each bag, one after the other; begins with those that the players have strung.

    A racquet counts once, by what was last asked for it: strung for a match and handed in again, it is not in the bag.
    WITH_OPEN counts those that the desk has, too; BROUGHT are racquets that are just handed in.
    """

    def __init__(
        self, session: Session, event: Event, *, with_open: bool = False, brought: Collection[int] = ()
    ) -> None:
        states = (*STRUNG, *OPEN_STATES) if with_open else STRUNG
        last = (
            select(func.max(Job.serial))
            .where(Job.event_id == event.id, Job.state.in_((*STRUNG, *OPEN_STATES)))
            .group_by(Job.racquet_id)
        )
        found = (
            select(Job.player_id, Job.match_id, func.count())
            .where(Job.event_id == event.id, Job.serial.in_(last), Job.racquet_id.not_in(brought))
            .where(Job.state.in_(states), Job.match_id.is_not(None))
            .group_by(Job.player_id, Job.match_id)
        )
        self._had: Counter[Bag] = Counter({(player, match): count for player, match, count in session.execute(found)})

    def weight(self, player_id: int, need: NeededBy, matters: str = "") -> int:
        """Return the weight of the player's next racquet of this kind; one that MATTERS first counts as the first."""
        if not need.for_match:
            return need.weight
        bag = (player_id, need.match_id)
        self._had[bag] += 1
        return bag_weight(0 if matters == FIRST else self._had[bag] - 1)


def turn(matters: str) -> int:
    """Return how far forward a racquet stands in its bag by what was said of it: 0, 1 or 2."""
    return {FIRST: 0, LATER: 2}.get(matters, 1)


def in_order(jobs: Iterable[Job]) -> list[Job]:
    """Return open jobs in the order in which their players will have them: what is on a machine or matters first."""
    rank = {"on_machine": 0, "waiting": 1, "held": 2}
    return sorted(jobs, key=lambda job: (rank[job.state], turn(job.matters), job.serial))
