"""What each racquet of a drop-off would get: needed by, minutes, string, ready time; nothing is stored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Frame, Player, Racquet, Stringer, StringType
from desk.queries.bench.bench_times import house_minutes
from desk.queries.finding import find, find_of
from desk.queries.plan.who_may import GUT
from desk.queries.play.bags import Bags, turn
from desk.queries.play.forecasts import forecast_event
from desk.queries.play.next_match import NeededBy, NeededByFinder
from desk.queries.play.next_match import Racquet as NeededByRacquet
from desk.queries.promise import quotes
from desk.queries.string.foresight import string_missing
from desk.trade.drop_off_forms import DropOffForm, RacquetForm
from desk.trade.play.needed_by import LATER, fresh_from


@dataclass(frozen=True, kw_only=True)
class Draft:
    """A racquet of a form with what the desk works out for it, before anything is stored."""

    form: RacquetForm
    frame: Frame
    needed: NeededBy
    house_minutes: int
    held_reason: str | None
    gut: bool = False
    quote: quotes.ReadyQuote | None = field(default=None)


def preview(session: Session, event: Event, form: DropOffForm, at: datetime) -> list[Draft]:
    """Return what each racquet of the form would get, without storing anything."""
    return preview_all(session, event, [form], at)[0]


def preview_all(session: Session, event: Event, forms: Sequence[DropOffForm], at: datetime) -> list[list[Draft]]:
    """Return what each racquet of several visits would get, each visit queued behind the ones before it.

    Of one visit the racquet that matters most is placed first; the answer stands in the order of the form.
    """
    finder = NeededByFinder(forecast_event(session, event, at))
    brought = [racquet.racquet_id or 0 for form in forms for racquet in form.racquets]
    bags = Bags(session, event, with_open=True, brought=brought)
    # A session forgets rows that nobody holds: each card finds its strings while these are held.
    held = session.scalars(select(StringType).where(StringType.event_id == event.id)).all()
    in_turn = [replace(form, racquets=sorted(form.racquets, key=lambda one: turn(one.matters))) for form in forms]
    visits = [_weighed(_drafts(session, event, form, at, finder), form.player_id, bags) for form in in_turn]
    wanted = [
        wanted_of(event, find_of(session, event, Player, form.player_id, "player"), draft, at)
        for form, drafts in zip(in_turn, visits, strict=True)
        for draft in drafts
        if draft.held_reason is None
    ]
    del held
    found = iter(quotes.quote_jobs(session, event, wanted, at))
    quoted = [
        [draft if draft.held_reason else replace(draft, quote=next(found)) for draft in drafts] for drafts in visits
    ]
    return [_as_on(form, drafts) for form, drafts in zip(forms, quoted, strict=True)]


def _as_on(form: DropOffForm, drafts: Sequence[Draft]) -> list[Draft]:
    """Return the drafts in the order of the form."""
    of_racquet = {id(draft.form): draft for draft in drafts}
    return [of_racquet[id(racquet)] for racquet in form.racquets]


def _weighed(drafts: Sequence[Draft], player_id: int, bags: Bags) -> list[Draft]:
    """Return the drafts with the weight of each in the player's bag."""
    return [
        replace(one, needed=replace(one.needed, weight=bags.weight(player_id, one.needed, one.form.matters)))
        for one in drafts
    ]


def _drafts(session: Session, event: Event, form: DropOffForm, at: datetime, finder: NeededByFinder) -> list[Draft]:
    player = find_of(session, event, Player, form.player_id, "player")
    if not form.racquets:
        raise BadInput("Add at least one racquet.", fields={"racquets": "add at least one racquet"})
    drafts = [_draft(session, event, player, racquet, at, finder) for racquet in form.racquets]
    asked = [(draft.form.card, draft.frame) for draft in drafts]
    reasons = string_missing(session, event, asked, player_id=player.id)
    return [replace(draft, held_reason=reason) for draft, reason in zip(drafts, reasons, strict=True)]


def _draft(
    session: Session, event: Event, player: Player, form: RacquetForm, at: datetime, finder: NeededByFinder
) -> Draft:
    frame = find_of(session, event, Frame, frame_of(session, form).id, "frame")
    if form.stringer_id is not None:
        find_of(session, event, Stringer, form.stringer_id, "stringer")
    asked = NeededByRacquet(
        player_id=player.id,
        kind="on_court" if form.on_court else form.needed_by_kind,
        dropped_at=at,
        fixed_at=form.needed_by_at,
        not_before_at=form.not_before_at,
        follows=form.matters == LATER,
    )
    minutes = house_minutes(session, event, form.card, frame, on_court=form.on_court)
    strings = [find_of(session, event, StringType, half.string_id, "string") for half in form.card.bed]
    gut = any(string.material == GUT for string in strings)
    return Draft(form=form, frame=frame, needed=finder.of(asked), house_minutes=minutes, held_reason=None, gut=gut)


def frame_of(session: Session, form: RacquetForm) -> Frame:
    if form.racquet_id is not None:
        return find(session, Racquet, form.racquet_id, "racquet").frame
    if form.frame_id is None or form.number is None:
        raise BadInput("A new racquet needs its number and its frame.", fields={"frame": "choose the frame"})
    return find(session, Frame, form.frame_id, "frame")


def wanted_of(event: Event, player: Player, draft: Draft, at: datetime) -> quotes.Wanted:
    needed_at = None if draft.form.on_court else draft.needed.at
    return quotes.Wanted(
        player_code=player.code,
        house_minutes=draft.house_minutes,
        ready_from_at=max(at, draft.form.not_before_at or at),
        needed_by_at=draft.needed.at,
        latest_at=draft.needed.latest,
        fresh_from_at=fresh_from(needed_at, event.fresh_within_hours, as_fresh=draft.form.card.as_fresh),
        weight=draft.needed.weight,
        stringer_id=draft.form.stringer_id,
        on_court=draft.form.on_court,
        gut=draft.gut,
    )
