"""With whom a visit is strung, in words: as always or why not, and both ways where it would be split."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from desk.models import Event, Job
from desk.queries.counter import counter
from desk.queries.counter.job_cards import CardView
from desk.queries.counter.visit_split import Share, VisitSplit, Way
from desk.queries.plan.planned_place import planned_place
from desk.queries.plan.spoken_bench import ANY, SpokenBenches, Wanted, WithWhom, with_whom_of
from desk.queries.plan.who_may import is_gut
from desk.web import context
from desk.web.display import day_hhmm

COUNTS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


MOST_NAMED = 6


@dataclass(frozen=True, kw_only=True)
class RacquetTime:
    """When one racquet would be ready; nothing where there is no place for it."""

    number: int
    ready_at: datetime | None
    is_late: bool


@dataclass(frozen=True, kw_only=True)
class WayWords:
    """One way of a visit in words: who has how many by when, each racquet's time, and whose promises it breaks."""

    said: str
    each: tuple[RacquetTime, ...]
    broken: str


@dataclass(frozen=True, kw_only=True)
class SplitWords:
    """Both ways of a visit that goes to several stringers; `stringer_id` would take all of it."""

    parted: WayWords
    together: WayWords | None
    stringer_id: int | None


class SplitSpeaker:
    """Speaks of the two ways of visits by the names of stringers and machines."""

    def __init__(self, stringers: Mapping[int, str], machines: Mapping[int, str]) -> None:
        self.stringers, self.machines = stringers, machines

    def words(self, found: VisitSplit, numbers: Sequence[int]) -> SplitWords:
        """Return both ways; NUMBERS are those of the racquets, in the order of the drafts."""
        one = found.together
        return SplitWords(
            parted=self._way(found.parted, numbers),
            together=None if one is None else self._way(one, numbers),
            stringer_id=None if one is None else one.shares[0].stringer_id,
        )

    def _way(self, way: Way, numbers: Sequence[int]) -> WayWords:
        is_one = len(way.shares) == 1
        parts = [f"{'all' if is_one else _count(share)} by {self._share(share)}" for share in way.shares]
        return WayWords(
            said=parts[0] if is_one else f"{', '.join(parts[:-1])} and {parts[-1]}",
            each=tuple(
                RacquetTime(number=numbers[at], ready_at=quote.ready_at, is_late=quote.late_minutes > 0)
                for at, quote in sorted(way.quotes.items())
            ),
            broken=first_named(way.breaks),
        )

    def _share(self, share: Share) -> str:
        at = " and ".join(self.machines[one] for one in share.machine_ids)
        return f"{day_hhmm(share.ready_at)} with {self.stringers[share.stringer_id]}{f' at {at}' if at else ''}"


def first_named(codes: Sequence[str]) -> str:
    """Return the first six by name, and how many more there are."""
    more = len(codes) - MOST_NAMED
    return ", ".join(codes[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


class BenchWords:
    """Speaks of stringers and machines as one player knows them."""

    def __init__(self, event: Event, player_id: int) -> None:
        session = context.reading()
        self.stringers, self.machines = counter.bench_names(session, event)
        self.player_id = player_id
        self.benches = SpokenBenches(session, event, context.event_time(), [player_id])
        self.own = self.benches.own_of(player_id)

    def with_whom(self, stringer_id: int | None, *, on_court: bool = False, wanted: Wanted = ANY) -> str:
        found = self.benches.of(self.player_id, stringer_id, on_court=on_court, wanted=wanted)
        return "" if found is None else found.text


def planned_with(job: Job) -> str:
    """Say with whom a waiting racquet is planned, and by when it would be strung; nothing where it has no place."""
    event = context.current_event()
    place = planned_place(context.reading(), event, job.id)
    if place is None or job.state != "waiting":
        return ""
    wanted = Wanted(gut=is_gut(job), end_at=place.end_at)
    who = BenchWords(event, job.player_id).with_whom(place.stringer_id, on_court=job.on_court, wanted=wanted)
    return f"Planned {who}: strung by {day_hhmm(place.end_at)}."


def whom_of(*cards: CardView | None) -> dict[int, WithWhom]:
    """Return with whom each of CARDS is or was strung, or is planned, by job."""
    event, found = context.current_event(), [card for card in cards if card is not None]
    return with_whom_of(context.reading(), event, context.event_time(), found)


def _count(share: Share) -> str:
    return COUNTS[share.count] if share.count < len(COUNTS) else str(share.count)
