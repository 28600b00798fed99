"""Erasing a contact's personal data after the event; what was charged and paid stays."""

from __future__ import annotations

import secrets

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Contact, ContactPlayer, DropOff, Event, HandOver, Player, Word, WordWay
from desk.queries.money.holders import Holder, open_of
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.players.mentions import replace_everywhere, require_over, words_of
from desk.trade.contacts import PAY_FOR_ALL
from desk.trade.event.money import Money


def erase_contact(session: Session, event_id: int, contact_id: int, *, acting: Acting) -> Contact:
    """Erase name, telephone, e-mail and link of a contact, and every mention of the name.

    Refused before the event is over, or while the account is open.
    """
    event, contact = lock_and_find(session, event_id, Contact, contact_id, "contact")
    if contact.erased_at is not None:
        raise Conflict(f"The personal data of {contact.code} were erased already.")
    if contact.kind in PAY_FOR_ALL:
        raise Conflict(f"{contact.name} is no person; there is nothing to erase.")
    require_over(session, event, acting)
    owed = open_of(session, event, Holder.of(contact))
    if owed:
        amount = Money(owed, event.currency).display()
        raise Conflict(f"The account of {contact.name} is open ({amount}); settle or correct it first.")
    _erase(session, event, contact, acting)
    return contact


def let_contacts_go(session: Session, event: Event, player: Player, acting: Acting) -> None:
    """Take an erased player from their contacts; who stood for nobody else, and owes nothing, is erased too."""
    links = session.scalars(select(ContactPlayer).where(ContactPlayer.player_id == player.id)).all()
    contacts = [link.contact for link in links]
    for link in links:
        session.delete(link)
    session.flush()
    for contact in contacts:
        session.expire(contact, ["players"])
        is_needed = contact.players or contact.kind in PAY_FOR_ALL or contact.erased_at is not None
        if not is_needed and not open_of(session, event, Holder.of(contact)):
            _erase(session, event, contact, acting)


def _erase(session: Session, event: Event, contact: Contact, acting: Acting) -> None:
    replace_everywhere(session, event, words_of([contact.name]), contact.code)
    for visit in session.scalars(select(DropOff).where(DropOff.brought_by_id == contact.id)):
        visit.brought_by = contact.code
    for given in session.scalars(select(HandOver).where(HandOver.collected_by_id == contact.id)):
        given.collected_by = contact.code
    contact.name, contact.search_name = contact.code, ""
    contact.phone = contact.email = contact.language = ""
    session.execute(delete(Word).where(Word.way_id.in_(select(WordWay.id).where(WordWay.contact_id == contact.id))))
    session.execute(delete(WordWay).where(WordWay.contact_id == contact.id))
    contact.token = secrets.token_urlsafe(16)
    contact.erased_at = acting.at
    contact.ended_at = contact.ended_at or acting.at
    log_change(session, event, acting, f"Personal data of {contact.code} erased", subject="contacts", plan=False)
