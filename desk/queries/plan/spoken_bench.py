"""With whom a racquet is strung: "with S1, as always", or "not with S1, who is off until 14:00"."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, Stringer
from desk.queries.counter.job_cards import CardView
from desk.queries.plan.own_bench import NOBODY, OwnBench, own_benches
from desk.queries.plan.who_may import GUT, what_forbids
from desk.queries.plan.workloads import most_begun
from desk.queries.play.play_records import clock_of
from desk.queries.team.team import StringerRow, stringer_rows

Why = Literal["", "gone", "mark", "off", "away", "no_hours", "most", "kind", "busy"]


@dataclass(frozen=True, kw_only=True)
class WithWhom:
    """Who strings a racquet, and the player's own stringer where that is another.

    `why` says why not with them: gone from the team, they may not string it (mark), off until `until`, away without
    a time, no hours ahead, the most of the day, a machine of another kind, busy; or nothing. `beside` says it in
    words: "as always", "not with S1, who is off until 14:00", or nothing.
    """

    name: str
    as_always: bool = False
    own: str = ""
    why: Why = ""
    until: datetime | None = None
    beside: str = ""

    @property
    def text(self) -> str:
        return f"with {self.name}{', ' if self.beside else ''}{self.beside}"

    @property
    def note(self) -> str:
        """What stands beside the name, as a sentence of its own."""
        return f"{self.beside[0].upper()}{self.beside[1:]}." if self.beside else ""


@dataclass(frozen=True, kw_only=True)
class WhyNot:
    """Why not with the player's own stringer; `words` follow the name: "who has left the team".

    `until` is when one who is off comes back; the words for it stand with whoever knows how times are said.
    """

    why: Why = ""
    words: str = ""
    until: datetime | None = None


GONE = WhyNot(why="gone", words="who has left the team")
BUSY = WhyNot(why="busy", words="who is busy then")


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A racquet as it goes to another: whether it takes gut, when it is to be strung, and who else has the bag."""

    gut: bool = False
    end_at: datetime | None = None
    taken: Collection[int] = ()


ANY = Wanted()


class WhyAnother:
    """Knows why a racquet goes to another; reads the team, its limits, its machines and its work once."""

    def __init__(self, session: Session, event: Event, at: datetime) -> None:
        self.team = {row.stringer_id: row for row in stringer_rows(session, event, at)}
        people = session.scalars(select(Stringer).where(Stringer.event_id == event.id)).all()
        self.no_gut = {one.id: what_forbids(one, gut=True, on_court=False) for one in people}
        self.most = most_begun(session, event, at)
        self.kinds = dict(session.execute(select(Machine.id, Machine.kind).where(Machine.event_id == event.id)).all())
        self.begins = _begins(session, event)

    def why_not(self, own: OwnBench, wanted: Wanted = ANY) -> WhyNot:
        """Return the firmest reason first: gone, may not, not at work, the day's most, machine, busy; else nothing."""
        if (row := self.team.get(own.stringer_id or 0)) is None:
            return GONE
        if wanted.gut and (words := self.no_gut[row.stringer_id]):
            return WhyNot(why="mark", words=f"who {words}")
        if not row.at_work:
            return _not_at_work(row)
        most, end = self.most.get(row.code), wanted.end_at
        if most is not None and (end is None or any(start < end for start, _ in most.cut)):
            return WhyNot(why="most", words=f"who {most.words}")
        if None not in (kinds := self._kinds(row, own)) and len(kinds) > 1:
            return WhyNot(why="kind", words="whose machine is of another kind")
        return BUSY if self._is_busy(row, wanted) else WhyNot()

    def _is_busy(self, row: StringerRow, wanted: Wanted) -> bool:
        begins = self.begins.get(row.stringer_id)
        works = begins is not None and (wanted.end_at is None or begins < wanted.end_at)
        return works or row.stringer_id in wanted.taken

    def _kinds(self, row: StringerRow, own: OwnBench) -> set[str | None]:
        return {self.kinds.get(machine_id or 0) for machine_id in (row.home_machine_id, own.machine_id)}

    def absence(self, own: OwnBench) -> WhyNot:
        """Return why the player's own stringer is not at work; nothing where they are, or nobody is."""
        row = self.team.get(own.stringer_id or 0)
        if row is None:
            return GONE
        return WhyNot() if row.at_work else _not_at_work(row)


def _not_at_work(row: StringerRow) -> WhyNot:
    back_at = row.back_at if row.absent else row.next_at
    if back_at is not None:
        return WhyNot(why="off", until=back_at)
    if row.absent:
        return WhyNot(why="away", words="who is away")
    return WhyNot(why="no_hours", words="who has no hours ahead")


def _begins(session: Session, event: Event) -> dict[int, datetime]:
    """Return when the work of each stringer begins: what is on a machine, and what the plan in force has for them."""
    planned = (
        select(Assignment.stringer_id, func.min(Assignment.start_at))
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Job.state == "waiting")
        .group_by(Assignment.stringer_id)
    )
    running = (
        select(Job.stringer_id, func.min(Job.started_at))
        .where(Job.event_id == event.id, Job.state == "on_machine", Job.started_at.is_not(None))
        .group_by(Job.stringer_id)
    )
    return dict(session.execute(planned).all()) | dict(session.execute(running).all())


class SpokenBenches:
    """Speaks of the stringers of some players, or of all, as it stands at AT; reads everything once."""

    def __init__(self, session: Session, event: Event, at: datetime, player_ids: Iterable[int] | None = None) -> None:
        self.own = own_benches(session, event, player_ids)
        self.others = WhyAnother(session, event, at)
        self.clock, self.at = clock_of(session, event), at

    def own_of(self, player_id: int) -> OwnBench:
        return self.own.get(player_id, NOBODY)

    def of(
        self, player_id: int, stringer_id: int | None, *, on_court: bool = False, wanted: Wanted = ANY
    ) -> WithWhom | None:
        """Return with whom a racquet is strung; None while nobody has it. From the court it is whoever is free."""
        row, own = self.others.team.get(stringer_id or 0), self.own_of(player_id)
        if row is None:
            return None
        if on_court or not own.binds or own.stringer_id is None:
            return WithWhom(name=row.name)
        if own.stringer_id == stringer_id:
            chosen = "as the lead chose" if own.why == "lead" else ""
            return WithWhom(name=row.name, as_always=own.has_strung, beside="as always" if own.has_strung else chosen)
        found = self.others.why_not(own, wanted)
        words = self._words(found)
        beside = f"not with {own.stringer}{f', {words}' if words else ' this time'}"
        return WithWhom(name=row.name, own=own.stringer, why=found.why, until=found.until, beside=beside)

    def own_note(self, player_id: int) -> str:
        """Say it where the player's own stringer is not at work: "S1 is off until 14:00."; else nothing."""
        own = self.own_of(player_id)
        words = "" if own.stringer_id is None else self._words(self.others.absence(own))
        return words and f"{own.stringer} {words.removeprefix('who ')}."

    def _words(self, found: WhyNot) -> str:
        return found.words if found.until is None else f"who is off until {self.clock.spoken(found.until, self.at)}"


def with_whom_of(session: Session, event: Event, at: datetime, cards: Iterable[CardView]) -> dict[int, WithWhom]:
    """Return with whom each racquet is or was strung, or is planned, by job; nothing where nobody has it."""
    shown = list(cards)
    if not shown:
        return {}
    benches = SpokenBenches(session, event, at, {card.player_id for card in shown})
    planned = (
        select(Assignment.job_id, Assignment.stringer_id, Assignment.end_at)
        .where(Assignment.run_id == (event.current_run_id or 0))
        .where(Assignment.job_id.in_([card.job_id for card in shown if card.state == "waiting"]))
    )
    places = {job_id: (stringer_id, end_at) for job_id, stringer_id, end_at in session.execute(planned)}
    found = {}
    for card in shown:
        stringer_id, end_at = places.get(card.job_id, (card.stringer_id, card.expected_end_at))
        wanted = Wanted(gut=GUT in (card.bed.mains.material, card.bed.crosses.material), end_at=end_at)
        who = card.stringer_id or stringer_id
        found[card.job_id] = benches.of(card.player_id, who, on_court=card.on_court, wanted=wanted)
    return {job_id: one for job_id, one in found.items() if one is not None}
