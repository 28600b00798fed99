"""Contacts of players: added, changed, given what they may do, given a new link, and ended."""

from __future__ import annotations

import secrets
from dataclasses import asdict, dataclass
from functools import partial

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Contact, ContactPlayer, Event, Player
from desk.queries.finding import find_of, present_player
from desk.queries.word.word_ways import BY_PAGE
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import change, chosen_code, codes_of, name_of_person, refuse, values_of
from desk.services.word.word_ways import end_ways_of, follow_address
from desk.trade.contacts import KINDS, LANGUAGES, PAY_FOR_ALL, Leave, email_fault, phone_fault
from desk.trade.event.names import search_name

_log = partial(log_change, subject="contacts", plan=False)

LONGEST_NAME = 200


@dataclass(frozen=True, kw_only=True)
class ContactForm:
    """What the desk enters of a contact; telephone, e-mail and language may stay empty."""

    name: str
    kind: str
    phone: str = ""
    email: str = ""
    language: str = ""
    code: str = ""


def add_contact(session: Session, event_id: int, form: ContactForm, *, acting: Acting) -> Contact:
    """Add a contact; refused when there is one of that name and kind, or a payer for all of that kind, already."""
    event = lock_event(session, event_id)
    _require_contact(form)
    _require_new(session, event, form)
    taken = codes_of(session, event, Contact)
    code = chosen_code(form.code, taken, "C", "contact", digits=2, first=len(taken) + 1)
    token = secrets.token_urlsafe(16)
    contact = Contact(event_id=event.id, code=code, token=token, token_issued_at=acting.at, **_values(form))
    session.add(contact)
    _log(session, event, acting, f"{contact.name}, {KINDS[contact.kind]}, added as {contact.code}")
    return contact


def _require_contact(form: ContactForm) -> None:
    faults = {}
    if not 0 < len(form.name.strip()) <= LONGEST_NAME:
        faults["name"] = f"give a name of at most {LONGEST_NAME} letters"
    if form.kind not in KINDS:
        faults["kind"] = "choose one of: " + ", ".join(KINDS.values())
    if fault := phone_fault(form.phone.strip()):
        faults["phone"] = fault
    if fault := email_fault(form.email.strip()):
        faults["email"] = fault
    if form.language and form.language not in LANGUAGES:
        faults["language"] = "choose one of the languages of the players' pages"
    refuse(faults, "This contact cannot be saved like this")


def _require_new(session: Session, event: Event, form: ContactForm) -> None:
    same_kind = select(Contact).where(Contact.event_id == event.id, Contact.kind == form.kind)
    if form.kind not in PAY_FOR_ALL:
        same_kind = same_kind.where(Contact.search_name == search_name(form.name))
    there = session.scalar(same_kind.where(Contact.ended_at.is_(None)).limit(1))
    if there is not None:
        raise Conflict(f"{there.name}, {KINDS[there.kind]}, is a contact already ({there.code}); choose that one.")


def _values(form: ContactForm) -> dict[str, str]:
    return values_of(form, "code") | name_of_person(form.name) | {"phone": " ".join(form.phone.split())}


def edit_contact(session: Session, event_id: int, contact_id: int, form: ContactForm, *, acting: Acting) -> Contact:
    """Change a contact's name, kind or how they are reached; the code stays."""
    event = lock_event(session, event_id)
    contact = present_contact(session, event, contact_id)
    _require_contact(form)
    if form.kind != contact.kind and (form.kind in PAY_FOR_ALL or contact.kind in PAY_FOR_ALL):
        _require_new(session, event, form)
    change(contact, _values(form))
    follow_address(session, contact, acting.at)
    _log(session, event, acting, f"Contact {contact.code} changed")
    return contact


def present_contact(session: Session, event: Event, contact_id: int) -> Contact:
    """Return a contact who has not ended, or say that it has."""
    contact = find_of(session, event, Contact, contact_id, "contact")
    if contact.ended_at is not None:
        raise Conflict(f"{contact.name} was ended as a contact; take it up again first.")
    return contact


def stand_for(
    session: Session, event_id: int, contact_id: int, player_id: int, leave: Leave, *, acting: Acting
) -> ContactPlayer:
    """Let a contact stand for a player, with what it may do; said again, it is changed."""
    event = lock_event(session, event_id)
    contact = present_contact(session, event, contact_id)
    player = present_player(session, event, player_id)
    if contact.kind in PAY_FOR_ALL:
        raise Conflict(f"{contact.name} pays for any player by the rules; no player is named for it.")
    link = _link(session, contact, player)
    if link is None:
        link = ContactPlayer(contact_id=contact.id, player_id=player.id)
        session.add(link)
    change(link, asdict(leave))
    session.flush()
    session.expire(contact, ["players"])
    _log(session, event, acting, f"{contact.name} stands for {player.called}: {leave.said}")
    return link


def stand_no_longer(session: Session, event_id: int, contact_id: int, player_id: int, *, acting: Acting) -> None:
    """Take a player from a contact; what was charged to the contact stays there."""
    event, contact = lock_and_find(session, event_id, Contact, contact_id, "contact")
    player = find_of(session, event, Player, player_id, "player")
    link = _link(session, contact, player)
    if link is None:
        raise Conflict(f"{contact.name} does not stand for {player.called} (any more).")
    session.delete(link)
    session.flush()
    session.expire(contact, ["players"])
    _log(session, event, acting, f"{contact.name} no longer stands for {player.called}")


def _link(session: Session, contact: Contact, player: Player) -> ContactPlayer | None:
    found = select(ContactPlayer).where(ContactPlayer.contact_id == contact.id, ContactPlayer.player_id == player.id)
    return session.scalar(found)


def new_contact_link(session: Session, event_id: int, contact_id: int, *, acting: Acting) -> str:
    """Give a contact a new link; the old one no longer works, nor does what was asked for on its page."""
    event = lock_event(session, event_id)
    contact = present_contact(session, event, contact_id)
    contact.token, contact.token_issued_at = secrets.token_urlsafe(16), acting.at
    end_ways_of(session, contact, acting.at, by=BY_PAGE)
    _log(session, event, acting, f"{contact.name} has a new link; the old one no longer works")
    return contact.token


def end_contact(session: Session, event_id: int, contact_id: int, *, acting: Acting) -> Contact:
    """End a contact: the link dies, and nothing is offered to it, told to it or charged to it by rule any more."""
    event = lock_event(session, event_id)
    contact = present_contact(session, event, contact_id)
    contact.ended_at, contact.token = acting.at, secrets.token_urlsafe(16)
    _log(session, event, acting, f"{contact.name} is a contact no longer")
    return contact


def take_contact_up(session: Session, event_id: int, contact_id: int, *, acting: Acting) -> Contact:
    """Take a contact up again that was ended; it has the link that was made when it ended."""
    event, contact = lock_and_find(session, event_id, Contact, contact_id, "contact")
    if contact.erased_at is not None:
        raise Conflict(f"The personal data of {contact.code} were erased; add the contact anew.")
    contact.ended_at = None
    _log(session, event, acting, f"{contact.name} is a contact again")
    return contact
