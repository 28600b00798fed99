"""Ready by when, where, and what it does to others: what the counter sees before anything is kept."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from desk.errors import DeskError
from desk.models import Event
from desk.queries.counter.drop_off_preview import Draft, preview
from desk.queries.counter.visit_split import splits_of
from desk.queries.counter.which_first import WhichFirst, which_first
from desk.queries.money.charge_lines import lines_asked
from desk.queries.money.visit_shares import Shares, asked_shares
from desk.queries.plan.spoken_bench import Wanted
from desk.trade.drop_off_forms import DropOffForm
from desk.trade.errors import TradeError
from desk.trade.racquet.frame_check import RangeCheck, check_range
from desk.trade.racquet.units import Tension
from desk.web import context
from desk.web.counter.visit_forms import CardPart, VisitForm
from desk.web.counter.with_whom import BenchWords, SplitSpeaker, SplitWords, first_named


@dataclass(frozen=True, kw_only=True)
class ReadyLine:
    """One racquet: the time that may be told and where, or why there is none.

    It is late or tight by its planned end: `late_minutes` count from `too_late_at` to `planned_at`. `is_past_need`
    says that it is neither, but that the time told is later than it is needed.
    """

    part: CardPart
    ready_at: datetime | None
    with_whom: str
    machine: str
    planned_at: datetime | None
    needed_at: datetime | None
    too_late_at: datetime | None
    late_minutes: int
    is_tight: bool
    why_not: str
    is_past_need: bool = False
    too_long: str = ""


@dataclass(frozen=True, kw_only=True)
class FirstChoice:
    """A racquet that may matter most; its value is empty where it comes first unless another is chosen."""

    value: str
    word: str
    is_chosen: bool


@dataclass(frozen=True, kw_only=True)
class Ready:
    """The whole visit: `at` is when its last racquet may be fetched; `trouble` stands where nothing can be said."""

    lines: tuple[ReadyLine, ...] = ()
    waiting_for: tuple[int, ...] = ()
    faults: tuple[tuple[str, str], ...] = ()
    breaks: tuple[str, ...] = ()
    above: tuple[str, ...] = ()
    below: tuple[str, ...] = ()
    needed_why: str = ""
    split: SplitWords | None = None
    first: tuple[FirstChoice, ...] = ()
    shares: Shares = field(default_factory=Shares)
    trouble: str = ""

    @property
    def at(self) -> datetime | None:
        return max((line.ready_at for line in self.lines if line.ready_at is not None), default=None)

    @property
    def broken(self) -> str:
        """Whose promises it breaks, the first six by name."""
        return first_named(self.breaks)

    @property
    def price_minor(self) -> int:
        """What the player pays for the whole visit by the price list, about: the metres are computed."""
        return self.shares.all_own_minor

    @property
    def late_minutes(self) -> int:
        return max((line.late_minutes for line in self.lines), default=0)

    @property
    def late_line(self) -> ReadyLine | None:
        return next((line for line in self.lines if line.late_minutes and line.late_minutes == self.late_minutes), None)

    @property
    def tight_line(self) -> ReadyLine | None:
        return next((line for line in self.lines if line.is_tight), None)

    @property
    def places(self) -> tuple[str, ...]:
        """With whom and where each racquet is strung, each place once: "at M1 with S1, as always"."""
        found = (f"at {line.machine} {line.with_whom}" for line in self.lines if line.ready_at is not None)
        return tuple(dict.fromkeys(found))


def ready_for(event: Event, form: VisitForm, player_id: int) -> Ready:
    """Return what the form would get now; racquets whose string is not chosen yet are waited for."""
    complete = [part for part in form.taken if part.has_string]
    missing = tuple(part.racquet.number for part in form.taken if not part.has_string)
    above = tuple(sentence for part in form.taken if (sentence := above_range(part)))
    below = tuple(sentence for part in form.taken if (sentence := far_below(part)))
    faults = tuple(fault for part in form.taken for fault in part.impossible())
    if faults or not complete:
        return Ready(waiting_for=missing, above=above, below=below, faults=faults)
    try:
        drafts = preview(context.reading(), event, _asked(form, player_id, complete), context.event_time())
    except (DeskError, TradeError) as error:
        return Ready(trouble=str(error), waiting_for=missing, above=above, below=below)
    words = BenchWords(event, player_id)
    taken = {draft.quote.stringer_id or 0 for draft in drafts if draft.quote is not None}
    lines = tuple(_line(part, draft, words, taken) for part, draft in zip(complete, drafts, strict=True))
    breaks = tuple(dict.fromkeys(code for draft in drafts if draft.quote for code in draft.quote.breaks))
    return Ready(
        lines=lines,
        waiting_for=missing,
        breaks=breaks,
        above=above,
        below=below,
        needed_why=drafts[0].needed.why,
        split=_split(event, player_id, complete, drafts, words),
        first=_first_choices(which_first(context.reading(), event, player_id, drafts), complete),
        shares=priced(event, player_id, drafts),
    )


def _split(
    event: Event, player_id: int, parts: Sequence[CardPart], drafts: Sequence[Draft], words: BenchWords
) -> SplitWords | None:
    visit, own = (player_id, drafts), words.own.stringer_id
    (split,) = splits_of(context.reading(), event, [visit], context.event_time(), lambda _: own)
    if split is None:
        return None
    return SplitSpeaker(words.stringers, words.machines).words(split, [part.racquet.number for part in parts])


def _asked(form: VisitForm, player_id: int, parts: Sequence[CardPart]) -> DropOffForm:
    return form.drop_off(player_id, parts)


def _line(part: CardPart, draft: Draft, words: BenchWords, taken: Collection[int]) -> ReadyLine:
    quote, needed_at = draft.quote, draft.needed.at
    ready_at = None if quote is None else quote.ready_at
    late = 0 if quote is None else quote.late_minutes
    planned_at = quote.told.planned_end_at if quote and quote.told else None
    wanted = Wanted(gut=draft.gut, end_at=planned_at, taken=taken)
    return ReadyLine(
        part=part,
        ready_at=ready_at,
        with_whom=words.with_whom(quote.stringer_id if quote else None, on_court=draft.form.on_court, wanted=wanted),
        machine=words.machines.get((quote.machine_id if quote else None) or 0, ""),
        planned_at=planned_at,
        needed_at=needed_at,
        too_late_at=None if quote is None else quote.too_late_at,
        late_minutes=late,
        is_tight=quote is not None and quote.is_tight,
        is_past_need=quote is not None and quote.is_past_need,
        too_long=_too_long(draft),
        why_not=draft.held_reason or (quote.why_not if quote and ready_at is None else ""),
    )


def _first_choices(asked: WhichFirst | None, parts: Sequence[CardPart]) -> tuple[FirstChoice, ...]:
    if asked is None:
        return ()
    numbers = {part.racquet.racquet_id: str(part.racquet.number) for part in parts}
    usual = None if asked.here_number else asked.racquet_ids[0]
    words = {"": f"{asked.here_number}, here already"} if asked.here_number else {}
    words |= {"" if one == usual else str(one): numbers[one] for one in asked.racquet_ids}
    chosen = "" if asked.said_id in (None, usual) else str(asked.said_id)
    return tuple(FirstChoice(value=value, word=word, is_chosen=value == chosen) for value, word in words.items())


def priced(event: Event, player_id: int, drafts: Sequence[Draft]) -> Shares:
    """What the racquets will cost whom; until its tension is typed one has no price either, since no card stands."""
    session, asked = context.reading(), [(draft.form, draft.frame) for draft in drafts]
    lines = [lines_asked(session, event, form.card, frame, on_court=form.on_court) for form, frame in asked]
    return asked_shares(session, event, player_id, lines)


def _too_long(draft: Draft) -> str:
    """Say it where one from the court cannot be back in time, however soon it begins."""
    within = context.current_event().on_court_minutes
    if not draft.form.on_court or draft.house_minutes <= within:
        return ""
    return f"Its bench time alone is {draft.house_minutes} minutes: it cannot be back in {within}."


def above_range(part: CardPart) -> str:
    """Return a sentence when a tension is above the range printed on the frame, else nothing."""
    found = _in_range(part, max)
    return f"Racquet {part.racquet.number}: {found.message}" if found is not None and found.needs_consent else ""


def far_below(part: CardPart) -> str:
    """Return what is asked back where a tension is so far below the printed range that another may be meant."""
    found = None if part.is_as_last_time else _in_range(part, min)
    return f"Racquet {part.racquet.number}: {found.message}" if found is not None and found.asks_back else ""


def _in_range(part: CardPart, which: Callable[..., Tension]) -> RangeCheck | None:
    racquet, tensions = part.racquet, part.tensions()
    if tensions is None or None in (racquet.tension_low, racquet.tension_high) or racquet.tension_unit is None:
        return None
    low, high = (Tension(value, racquet.tension_unit) for value in (racquet.tension_low, racquet.tension_high))
    return check_range(which(tensions, key=lambda one: one.in_kg), low, high)
