"""With whom a visit is strung, in words: as always or why not, and both ways where it would be split."""

from __future__ import annotations

from dataclasses import dataclass

from desk.models import Event, Job
from desk.queries.counter import counter
from desk.queries.counter.job_cards import CardView
from desk.queries.counter.visit_split import Share, VisitSplit
from desk.queries.plan.planned_place import planned_place
from desk.queries.plan.spoken_bench import SpokenBenches, WithWhom, with_whom_of
from desk.web import context
from desk.web.display import day_hhmm

COUNTS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, kw_only=True)
class SplitWords:
    """Both ways of a visit that goes to several stringers; `stringer_id` would take all of it."""

    together: str
    parts: str
    stringer_id: int | None


class BenchWords:
    """Speaks of stringers and machines as one player knows them."""

    def __init__(self, event: Event, player_id: int) -> None:
        session = context.reading()
        self.stringers, self.machines = counter.bench_names(session, event)
        self.player_id = player_id
        self.benches = SpokenBenches(session, event, context.event_time(), [player_id])
        self.own = self.benches.own_of(player_id)

    def with_whom(self, stringer_id: int | None, *, on_court: bool = False) -> str:
        found = self.benches.of(self.player_id, stringer_id, on_court=on_court)
        return "" if found is None else found.text

    def split(self, found: VisitSplit) -> SplitWords:
        parts = [f"{_count(share)} by {self._share(share)}" for share in found.parts]
        one = found.together
        return SplitWords(
            together="" if one is None else f"all by {self._share(one)}",
            parts=f"{', '.join(parts[:-1])} and {parts[-1]}",
            stringer_id=None if one is None else one.stringer_id,
        )

    def _share(self, share: Share) -> str:
        return f"{day_hhmm(share.ready_at)} with {self.stringers[share.stringer_id]}"


def planned_with(job: Job) -> str:
    """Say with whom a waiting racquet is planned, and by when it would be strung; nothing where it has no place."""
    event = context.current_event()
    place = planned_place(context.reading(), event, job.id)
    if place is None or job.state != "waiting":
        return ""
    who = BenchWords(event, job.player_id).with_whom(place.stringer_id, on_court=job.on_court)
    return f"Planned {who}: strung by {day_hhmm(place.end_at)}."


def whom_of(*cards: CardView | None) -> dict[int, WithWhom]:
    """Return with whom each of CARDS is or was strung, or is planned, by job."""
    event, found = context.current_event(), [card for card in cards if card is not None]
    return with_whom_of(context.reading(), event, context.event_time(), found)


def _count(share: Share) -> str:
    return COUNTS[share.count] if share.count < len(COUNTS) else str(share.count)
