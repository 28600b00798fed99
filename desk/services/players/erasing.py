"""Erasing a player's personal data after the event; what was strung, charged and paid stays."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import (
    Charge,
    DropOff,
    Event,
    HandOver,
    Job,
    JobCard,
    LogEntry,
    Player,
    Racquet,
    Settlement,
    StateChange,
    Word,
    WordWay,
)
from desk.queries.money.charges import open_minor
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.players.erasing_contacts import let_contacts_go
from desk.services.players.mentions import replace_everywhere, require_over, words_of
from desk.trade.event.money import Money

HERE = ("waiting", "on_machine", "held", "strung")
RENAMED = ", now "
"""Between the old name and the new in the log of a change."""

PLAIN_NOTE = re.compile(r"payment \d+ taken back|undone|released")


def erase_player(session: Session, event_id: int, player_id: int, *, acting: Acting) -> Player:
    """Erase name, telephone, notes and link of a player, and every mention of the name; the code stands for it.

    Refused before the event is over, while racquets are here, or while the account is open.
    """
    event, player = lock_and_find(session, event_id, Player, player_id, "player")
    if player.erased_at is not None:
        raise Conflict(f"The personal data of {player.code} were erased already.")
    require_over(session, event, acting)
    _require_nothing_open(session, event, player)
    _erase_mentions(session, event, player)
    _erase_notes(session, player)
    let_contacts_go(session, event, player, acting)
    _erase_word(session, player)
    player.name, player.search_name, player.note = player.code, "", ""
    player.phone, player.hours_per_week, player.erased_at = "", None, acting.at
    player.token = secrets.token_urlsafe(16)
    log_change(session, event, acting, f"Personal data of {player.code} erased", subject="players", plan=False)
    return player


def _require_nothing_open(session: Session, event: Event, player: Player) -> None:
    here = session.scalars(select(Job.code).where(Job.player_id == player.id, Job.state.in_(HERE))).all()
    if here:
        raise Conflict(f"{player.called} still has {', '.join(here)} at the desk; hand over or cancel first.")
    owed = open_minor(session, event, player.id)
    if owed:
        amount = Money(owed, event.currency).display()
        raise Conflict(f"The account of {player.called} is open ({amount}); settle or correct it first.")


def _erase_mentions(session: Session, event: Event, player: Player) -> None:
    """Put the player's code in place of every name that they had, in every text of the event.

    In lines about their own racquets and charges each word of the name goes, and who collected.
    """
    names = [f"{player.name} ({player.code})", player.name, *_former_names(session, event, player)]
    others = _namesakes(session, event, player)
    collectors = session.scalars(select(HandOver.collected_by).where(HandOver.player_id == player.id).distinct())
    about = words_of(
        names, others, [*collectors, *(word for name in names[1:] for word in name.split() if len(word) > 1)]
    )
    jobs = select(Job.id).where(Job.player_id == player.id)
    for entry in session.scalars(select(LogEntry).where(LogEntry.job_id.in_(jobs))):
        entry.text = about.sub(player.code, entry.text)
    for charge in session.scalars(select(Charge).where(Charge.player_id == player.id)):
        charge.text = about.sub(player.code, charge.text)
    for card in session.scalars(select(JobCard).where(JobCard.job_id.in_(jobs))):
        card.stencil = about.sub(player.code, card.stencil)
    session.flush()
    # Who collected is named in the line of the hand-over only; elsewhere the word may mean another.
    replace_everywhere(session, event, words_of(names, others), player.code)
    handed = select(LogEntry).where(LogEntry.event_id == event.id, LogEntry.subject == "pickup")
    for entry in session.scalars(handed.where(LogEntry.text.contains(player.code, autoescape=True))):
        entry.text = about.sub(player.code, entry.text)


def _former_names(session: Session, event: Event, player: Player) -> list[str]:
    """Return the names that the player had before: the log of changes tells them."""
    changed = f"{player.code} changed: "
    found = select(LogEntry.text).where(
        LogEntry.event_id == event.id,
        LogEntry.subject == "players",
        LogEntry.text.startswith(changed, autoescape=True),
    )
    texts = (text.removeprefix(changed) for text in session.scalars(found))
    return [name for text in texts for name in text.split(RENAMED)]


def _namesakes(session: Session, event: Event, player: Player) -> Sequence[str]:
    found = select(Player.code).where(Player.event_id == event.id, Player.search_name == player.search_name)
    return session.scalars(found.where(Player.id != player.id)).all()


def _erase_word(session: Session, player: Player) -> None:
    """Forget by which ways the player was told, and every word of the player's racquets, to whomever it went."""
    session.execute(delete(Word).where(Word.job_id.in_(select(Job.id).where(Job.player_id == player.id))))
    session.execute(delete(WordWay).where(WordWay.player_id == player.id))


def _plain(note: str) -> str:
    """Keep a note that the program wrote; clear one that somebody typed."""
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
        visit.brought_by, visit.brought_by_id = player.code if visit.brought_by else "", None
    for given in session.scalars(select(HandOver).where(HandOver.player_id == player.id)):
        given.collected_by, given.collected_by_id, given.note = player.code, None, ""
    for racquet in session.scalars(select(Racquet).where(Racquet.player_id == player.id)):
        racquet.note = ""
    for paid in session.scalars(select(Settlement).where(Settlement.player_id == player.id)):
        paid.note = _plain(paid.note)
