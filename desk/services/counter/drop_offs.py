"""Taking racquets in: one visit, one or more jobs, each with its card and its promise."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import DropOff, Event, Job, JobCard, Player, Racquet, StateChange
from desk.queries.counter.drop_off_preview import Draft, preview
from desk.queries.finding import find
from desk.services.acting import Acting, lock_event, log_change
from desk.services.bench.jobs import next_serial
from desk.services.counter.contact_leave import allowed_contact
from desk.services.counter.takeable import require_takeable
from desk.services.play.what_matters import no_other_matters_most
from desk.services.promise import promises
from desk.trade.bench.tag_code import make_code
from desk.trade.drop_off_forms import DropOffForm, RacquetForm
from desk.trade.play.needed_by import FIRST
from desk.trade.racquet.value_kinds import PLAYED_H

LATER_MINUTES = 5


class LaterThanShown(Conflict):
    """A ready time got later since somebody looked at it."""


def take_drop_off(session: Session, event_id: int, form: DropOffForm, *, acting: Acting) -> DropOff:
    """Store a drop-off with its jobs, cards and promises, all or nothing.

    Refused when a ready time got later since it was shown, or a racquet is at the desk already.
    """
    event = lock_event(session, event_id)
    again = session.scalar(select(DropOff).where(DropOff.event_id == event_id, DropOff.request_key == form.request_key))
    if again is not None:
        return again
    require_takeable(session, form)
    contact = allowed_contact(session, form.brought_by_id, form.player_id, "may_drop_off")
    drafts = preview(session, event, form, acting.at)
    _require_as_shown(drafts)
    visit = DropOff(
        event_id=event.id,
        player_id=form.player_id,
        at=acting.at,
        by=acting.by,
        request_key=form.request_key,
        frame_checked=all(racquet.frame_check for racquet in form.racquets),
        frame_note="; ".join(dict.fromkeys(note for one in form.racquets if (note := one.frame_note.strip()))),
        consent=form.consent.strip(),
        brought_by=contact.name if contact else form.brought_by.strip(),
        brought_by_id=form.brought_by_id,
    )
    session.add(visit)
    session.flush()
    jobs = [_store_job(session, event, visit, draft, acting) for draft in drafts]
    player = find(session, Player, form.player_id, "player")
    codes = ", ".join(job.code for job in jobs)
    said = f"{visit.brought_by} dropped off {codes} of {player.called}" if visit.brought_by else None
    text = said or f"{player.called} dropped off {codes}"
    for job in jobs:
        if job.matters == FIRST:
            no_other_matters_most(session, event, job)
            text += f"; {job.code} matters most"
    log_change(session, event, acting, text, subject="drop-offs", job_id=jobs[0].id)
    return visit


def _require_as_shown(drafts: Sequence[Draft]) -> None:
    for draft in drafts:
        shown, found = draft.form.shown_ready_at, draft.quote
        if shown is None or found is None or found.ready_at is None:
            continue
        if (found.ready_at - shown).total_seconds() > LATER_MINUTES * 60:
            raise LaterThanShown(
                "The ready time has become later since it was shown; look at the new time and accept it."
            )


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
        latest_at=draft.needed.latest or draft.needed.at,
        needed_by_why=draft.needed.why,
        match_id=draft.needed.match_id,
        weight=draft.needed.weight,
        matters=form.matters,
        frame_check=form.frame_check,
        house_minutes=draft.house_minutes,
        pinned_stringer_id=form.stringer_id,
    )
    job.card = JobCard(**{name: getattr(form.card, name) for name in form.card.__dataclass_fields__})
    job.changes.append(
        StateChange(at=acting.at, by=acting.by, from_state="", to_state=job.state, note=draft.held_reason or "")
    )
    _note_hours(session, racquet, form.played_hours)
    session.add(job)
    session.flush()
    if draft.quote is not None and draft.quote.told is not None:
        promises.give_promise(session, event, job, draft.quote.told.at(form.shown_ready_at), acting=acting)
    return job


def _note_hours(session: Session, racquet: Racquet, hours: float | None) -> None:
    """Keep with the last bed of a racquet how long it was played, as the player says."""
    if hours is None:
        return
    if fault := PLAYED_H.fault(hours):
        raise BadInput("These hours of play cannot be.", fields={"played_hours": fault})
    last = select(Job).where(Job.racquet_id == racquet.id, Job.finished_at.is_not(None), Job.state != "cancelled")
    bed = session.scalar(last.order_by(Job.finished_at.desc(), Job.id.desc()).limit(1))
    if bed is not None:
        bed.played_hours = hours


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
