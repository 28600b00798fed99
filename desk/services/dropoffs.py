"""Taking racquets in: one visit, one or more jobs, each with its card and its promise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import DropOff, Event, Frame, Job, JobCard, Player, Racquet, StateChange
from desk.services import bench_times, missing_string, needed_by, promises, quotes
from desk.services.acting import Acting, find, lock_event, note_change, write_log
from desk.services.jobs import next_serial
from desk.services.next_match import NeededByFinder
from desk.services.next_match import Racquet as NeededByRacquet
from desk.trade.tag_code import make_code
from desk.trade.units import Tension

LATER_MINUTES = 5


@dataclass(frozen=True, kw_only=True)
class CardForm:
    """A job card as it was asked for; both tensions share the unit that was spoken."""

    mains_string_id: int
    crosses_string_id: int
    mains_tension: Decimal
    crosses_tension: Decimal
    tension_unit: str
    pieces: int = 2
    mains_pre_stretch: int = 0
    crosses_pre_stretch: int = 0
    stencil: str = ""
    extra_work: str = "none"
    own_string: bool = False
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class RacquetForm:
    """One racquet of a drop-off: an old one by `racquet_id`, or a new one by number and frame.

    `needed_by_kind` is match, time (then `needed_by_at`) or none. `shown_ready_at` is the ready time
    that the player was shown; a later one is refused, so that nobody is promised what was not said.
    """

    card: CardForm
    racquet_id: int | None = None
    number: int | None = None
    frame_id: int | None = None
    needed_by_kind: str = "match"
    needed_by_at: datetime | None = None
    not_before_at: datetime | None = None
    on_court: bool = False
    court_id: int | None = None
    shown_ready_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class DropOffForm:
    """One visit. `request_key` is made with the form: the same form sent twice counts once."""

    player_id: int
    racquets: Sequence[RacquetForm]
    request_key: str
    frame_checked: bool = False
    frame_note: str = ""
    consent: str = ""


@dataclass(frozen=True, kw_only=True)
class Draft:
    """A racquet of a form with what the desk works out for it, before anything is stored."""

    form: RacquetForm
    frame: Frame
    needed: needed_by.NeededBy
    house_minutes: int
    held_reason: str | None
    quote: quotes.ReadyQuote | None = field(default=None)


def preview(session: Session, event: Event, form: DropOffForm, at: datetime) -> list[Draft]:
    """Return what each racquet of the form would get, without storing anything."""
    return preview_all(session, event, [form], at)[0]


def preview_all(session: Session, event: Event, forms: Sequence[DropOffForm], at: datetime) -> list[list[Draft]]:
    """Return what each racquet of several visits would get, each visit behind the ones before it."""
    finder = NeededByFinder(needed_by.forecast_event(session, event, at))
    visits = [_drafts(session, event, form, at, finder) for form in forms]
    wanted = [
        _wanted(find(session, Player, form.player_id, "player"), draft, at)
        for form, drafts in zip(forms, visits, strict=True)
        for draft in drafts
        if draft.held_reason is None
    ]
    found = iter(quotes.quote_jobs(session, event, wanted, at))
    return [
        [draft if draft.held_reason else replace(draft, quote=next(found)) for draft in drafts] for drafts in visits
    ]


def _drafts(session: Session, event: Event, form: DropOffForm, at: datetime, finder: NeededByFinder) -> list[Draft]:
    player = find(session, Player, form.player_id, "player")
    if not form.racquets:
        raise BadInput("Add at least one racquet.", fields={"racquets": "add at least one racquet"})
    drafts = [_draft(session, event, player, racquet, at, finder) for racquet in form.racquets]
    asked = [(draft.form.card, draft.frame) for draft in drafts]
    reasons = missing_string.string_missing(session, event, asked, player_id=player.id)
    return [replace(draft, held_reason=reason) for draft, reason in zip(drafts, reasons, strict=True)]


def _draft(
    session: Session, event: Event, player: Player, form: RacquetForm, at: datetime, finder: NeededByFinder
) -> Draft:
    frame = _frame_of(session, form)
    asked = NeededByRacquet(
        player_id=player.id,
        kind="on_court" if form.on_court else form.needed_by_kind,
        dropped_at=at,
        fixed_at=form.needed_by_at,
        not_before_at=form.not_before_at,
    )
    minutes = bench_times.house_minutes(session, event, form.card, frame, on_court=form.on_court)
    return Draft(form=form, frame=frame, needed=finder.of(asked), house_minutes=minutes, held_reason=None)


def _frame_of(session: Session, form: RacquetForm) -> Frame:
    if form.racquet_id is not None:
        return find(session, Racquet, form.racquet_id, "racquet").frame
    if form.frame_id is None or form.number is None:
        raise BadInput("A new racquet needs its number and its frame.", fields={"frame": "choose the frame"})
    return find(session, Frame, form.frame_id, "frame")


def _wanted(player: Player, draft: Draft, at: datetime) -> quotes.Wanted:
    return quotes.Wanted(
        player_code=player.code,
        house_minutes=draft.house_minutes,
        ready_from_at=max(at, draft.form.not_before_at or at),
        needed_by_at=draft.needed.at,
        weight=draft.needed.weight,
    )


def take_drop_off(session: Session, event_id: int, form: DropOffForm, *, acting: Acting) -> DropOff:
    """Store a drop-off with its jobs, cards and promises, all or nothing.

    Raises
    ------
    BadInput
        When something of the form cannot be: each with what to do.
    Conflict
        When a ready time got later since it was shown, or a racquet is at the desk already.
    """
    event = lock_event(session, event_id)
    again = session.scalar(select(DropOff).where(DropOff.event_id == event_id, DropOff.request_key == form.request_key))
    if again is not None:
        return again
    _require_consent(session, form)
    _require_not_here(session, form)
    drafts = preview(session, event, form, acting.at)
    _require_as_shown(drafts)
    visit = DropOff(
        event_id=event.id,
        player_id=form.player_id,
        at=acting.at,
        by=acting.by,
        request_key=form.request_key,
        frame_checked=form.frame_checked,
        frame_note=form.frame_note.strip(),
        consent=form.consent.strip(),
    )
    session.add(visit)
    session.flush()
    jobs = [_store_job(session, event, visit, draft, acting) for draft in drafts]
    player = find(session, Player, form.player_id, "player")
    codes = ", ".join(job.code for job in jobs)
    write_log(session, event, acting, "drop-offs", f"{player.name} dropped off {codes}", job_id=jobs[0].id)
    note_change(event)
    return visit


def _require_consent(session: Session, form: DropOffForm) -> None:
    above = [frame for racquet in form.racquets if (frame := _above_range(session, racquet)) is not None]
    if above and not form.consent.strip():
        raise BadInput(
            f"The tension is above the range printed on {above[0]}: the frame can break. "
            "String within the range, or keep the owner's consent first.",
            fields={"consent": "write down who consented"},
        )


def _above_range(session: Session, form: RacquetForm) -> str | None:
    frame = _frame_of(session, form)
    if frame.tension_high is None or frame.tension_unit is None:
        return None
    high = Tension(frame.tension_high, frame.tension_unit)
    asked = max(
        Tension(form.card.mains_tension, form.card.tension_unit).in_lb,
        Tension(form.card.crosses_tension, form.card.tension_unit).in_lb,
    )
    return frame.name if asked > high.in_lb else None


def _require_not_here(session: Session, form: DropOffForm) -> None:
    ids = [racquet.racquet_id for racquet in form.racquets if racquet.racquet_id is not None]
    if len(ids) != len(set(ids)):
        raise BadInput("The same racquet stands twice on this drop-off; take one away.")
    here = session.scalar(select(Job).where(Job.racquet_id.in_(ids), Job.state.in_(("waiting", "on_machine", "held"))))
    if here is not None:
        raise Conflict(
            f"Racquet {here.racquet.number} is at the desk already as {here.code}; change that job or cancel it first."
        )


def _require_as_shown(drafts: Sequence[Draft]) -> None:
    for draft in drafts:
        shown, found = draft.form.shown_ready_at, draft.quote
        if shown is None or found is None or found.ready_at is None:
            continue
        if (found.ready_at - shown).total_seconds() > LATER_MINUTES * 60:
            raise Conflict("The ready time got later since it was shown; look at the new time and accept it.")


def _store_job(session: Session, event: Event, visit: DropOff, draft: Draft, acting: Acting) -> Job:
    form = draft.form
    racquet = _racquet(session, visit.player_id, form)
    serial = next_serial(session, event)
    job = Job(
        event_id=event.id,
        drop_off_id=visit.id,
        player_id=visit.player_id,
        racquet_id=racquet.id,
        serial=serial,
        code=make_code(serial),
        state="held" if draft.held_reason else "waiting",
        held_reason=draft.held_reason or "",
        on_court=form.on_court,
        court_id=form.court_id,
        dropped_at=acting.at,
        not_before_at=form.not_before_at,
        needed_by_kind=form.needed_by_kind,
        needed_by_at=draft.needed.at,
        needed_by_why=draft.needed.why,
        match_id=draft.needed.match_id,
        weight=draft.needed.weight,
        house_minutes=draft.house_minutes,
    )
    job.card = JobCard(**{name: getattr(form.card, name) for name in form.card.__dataclass_fields__})
    job.changes.append(
        StateChange(at=acting.at, by=acting.by, from_state="", to_state=job.state, note=draft.held_reason or "")
    )
    session.add(job)
    session.flush()
    if draft.quote is not None and draft.quote.ready_at is not None and draft.quote.planned_end_at is not None:
        promises.give_promise(
            session,
            event,
            job,
            acting=acting,
            planned_end_at=draft.quote.planned_end_at,
            jobs_ahead=draft.quote.jobs_ahead,
            ready_at=form.shown_ready_at,
        )
    return job


def _racquet(session: Session, player_id: int, form: RacquetForm) -> Racquet:
    if form.racquet_id is not None:
        racquet = find(session, Racquet, form.racquet_id, "racquet")
        if racquet.player_id != player_id:
            raise BadInput("This racquet belongs to another player; choose one of this player's.")
        return racquet
    taken = session.scalar(select(Racquet).where(Racquet.player_id == player_id, Racquet.number == form.number))
    if taken is not None:
        raise BadInput(
            f"This player has a racquet number {form.number} already; choose it or take the next number.",
            fields={"number": "is taken"},
        )
    racquet = Racquet(player_id=player_id, frame_id=form.frame_id, number=form.number)
    session.add(racquet)
    session.flush()
    return racquet
