"""Erasing a player's personal data after the event; what was strung, charged and paid stays."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterable

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import (
    Charge,
    DropOff,
    Event,
    EventDay,
    HandOver,
    Job,
    LogEntry,
    Player,
    Racquet,
    Settlement,
    StateChange,
)
from desk.queries.charges import open_minor
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.of_event import find_of
from desk.trade.money import Money

HERE = ("waiting", "on_machine", "held", "strung")
PLAIN_NOTE = re.compile(r"payment \d+ taken back|undone|released")


def erase_player(session: Session, event_id: int, player_id: int, *, acting: Acting) -> Player:
    """Erase name, notes and link of a player, and every mention of the name; the code stands for it.

    Raises
    ------
    Conflict
        Before the event is over, while racquets are here, or while the account is open.
    """
    event = lock_event(session, event_id)
    player = find_of(session, event, Player, player_id, "player")
    if player.erased_at is not None:
        raise Conflict(f"The personal data of {player.code} were erased already.")
    _require_over(session, event, acting)
    _require_nothing_open(session, event, player)
    _erase_mentions(session, event, player)
    _erase_notes(session, player)
    player.name, player.search_name, player.note = player.code, "", ""
    player.hours_per_week, player.erased_at = None, acting.at
    player.token = secrets.token_urlsafe(16)
    session.flush()
    write_log(session, event, acting, "players", f"Personal data of {player.code} erased")
    note_change(event, plan=False)
    return player


def _require_over(session: Session, event: Event, acting: Acting) -> None:
    ends_at = session.scalar(select(func.max(EventDay.closes_at)).where(EventDay.event_id == event.id))
    if event.status == "open" and ends_at is not None and acting.at < ends_at:
        raise Conflict(f"{event.name} is not over; personal data are erased after its last day.")


def _require_nothing_open(session: Session, event: Event, player: Player) -> None:
    here = session.scalars(select(Job.code).where(Job.player_id == player.id, Job.state.in_(HERE))).all()
    if here:
        raise Conflict(f"{player.name} still has {', '.join(here)} at the desk; hand over or cancel first.")
    owed = open_minor(session, event, player.id)
    if owed:
        amount = Money(owed, event.currency).display()
        raise Conflict(f"The account of {player.name} is open ({amount}); settle or correct it first.")


def _erase_mentions(session: Session, event: Event, player: Player) -> None:
    collectors = session.scalars(select(HandOver.collected_by).where(HandOver.player_id == player.id).distinct())
    own = _words([player.name])
    others = _words([player.name, *collectors])
    jobs = select(Job.id).where(Job.player_id == player.id)
    found = select(LogEntry).where(
        LogEntry.event_id == event.id,
        or_(LogEntry.text.contains(player.name, autoescape=True), LogEntry.job_id.in_(jobs)),
    )
    for entry in session.scalars(found):
        # Who collected is named in the line of the hand-over only; elsewhere the word may mean another.
        pattern = others if entry.subject == "pickup" or entry.job_id is not None else own
        entry.text = pattern.sub(player.code, entry.text)
    for charge in session.scalars(select(Charge).where(Charge.player_id == player.id)):
        charge.text = others.sub(player.code, charge.text)


def _words(names: Iterable[str]) -> re.Pattern[str]:
    ordered = sorted({name for name in names if name.strip()}, key=len, reverse=True)
    return re.compile("|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in ordered))


def _plain(note: str) -> str:
    """Keep a note that the desk's own work wrote; what somebody typed goes."""
    return note if PLAIN_NOTE.fullmatch(note) else ""


def _erase_notes(session: Session, player: Player) -> None:
    jobs = session.scalars(select(Job).where(Job.player_id == player.id)).all()
    for job in jobs:
        job.held_reason, job.card.note = "", ""
    changes = select(StateChange).where(StateChange.job_id.in_([job.id for job in jobs]))
    for change in session.scalars(changes):
        change.note = _plain(change.note)
    for visit in session.scalars(select(DropOff).where(DropOff.player_id == player.id)):
        visit.frame_note, visit.consent = "", "given" if visit.consent else ""
    for given in session.scalars(select(HandOver).where(HandOver.player_id == player.id)):
        given.collected_by, given.note = player.code, ""
    for racquet in session.scalars(select(Racquet).where(Racquet.player_id == player.id)):
        racquet.note = ""
    for paid in session.scalars(select(Settlement).where(Settlement.player_id == player.id)):
        paid.note = _plain(paid.note)
