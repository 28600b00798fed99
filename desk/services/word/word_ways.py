"""Asking for word by one way, and ending it; nobody has more ways than a few."""

from __future__ import annotations

import secrets
from base64 import urlsafe_b64decode
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from cryptography.hazmat.primitives.asymmetric import ec
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import Contact, Event, Player, Word, WordWay
from desk.queries.finding import find_of, present_player
from desk.queries.word.word_ways import MAIL, PHONE, told_contacts
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.word.words import drop_waiting
from desk.trade.addresses import endpoint_fault, mail_fault
from desk.trade.contacts import LANGUAGES

_log = partial(log_change, subject="word", plan=False)

MOST = {MAIL: 3, PHONE: 6}
MOST_EVER = 100
"""Ways of one person, ended ones too: a page that is opened by a link must not fill the records."""
WORDS = {MAIL: "by e-mail", PHONE: "on a phone"}
STOPPED, GONE, NO_ADDRESS = "stopped", "gone", "no address any more"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What somebody asks for: a player or a contact, the address, the language; a phone brings its two keys."""

    kind: str
    address: str
    language: str
    player_id: int | None = None
    contact_id: int | None = None
    public_key: str = ""
    auth_secret: str = ""


def ask(session: Session, event_id: int, asked: Asked, *, acting: Acting) -> WordWay:
    """Tell somebody from now on; who asks for what is there already gets that one, in the language asked for now.

    Refused when nobody is told anything here, the person is not there any more or has too many ways, or the address
    cannot be.
    """
    event = lock_event(session, event_id)
    if not event.tells_anybody:
        raise Conflict(f"Nobody is told anything at {event.name}: that is set so in the settings.")
    who = _who(session, event, asked)
    _require_sound(asked)
    ever = _ways(session, asked)
    mine = [way for way in ever if way.ended_at is None]
    known = next((way for way in mine if way.address == asked.address), None)
    if known is not None:
        known.language, known.public_key, known.auth_secret = asked.language, asked.public_key, asked.auth_secret
        return known
    if len(ever) >= MOST_EVER:
        raise Conflict(f"{who} has asked and ended it too often; nothing more is kept of that.")
    if sum(way.kind == asked.kind for way in mine) >= MOST[asked.kind]:
        raise Conflict(f"{who} is told in {MOST[asked.kind]} places of this kind already; end one of them first.")
    way = WordWay(event_id=event.id, stop_token=secrets.token_urlsafe(16), at=acting.at, by=acting.by, **vars(asked))
    session.add(way)
    session.flush()
    _log(session, event, acting, f"{way.called} is told {WORDS[way.kind]} when a racquet is ready")
    return way


def _who(session: Session, event: Event, asked: Asked) -> str:
    """Return the name of who asks, or refuse who is not there any more."""
    if asked.contact_id is not None:
        contact = find_of(session, event, Contact, asked.contact_id, "contact")
        if contact.ended_at is None and contact.erased_at is None:
            return contact.name
        raise Conflict(f"{contact.code} is no contact any more; nobody is told there.")
    return present_player(session, event, asked.player_id or 0).called


def _require_sound(asked: Asked) -> None:
    if asked.language not in LANGUAGES:
        raise BadInput(f"Choose one of the languages {', '.join(LANGUAGES)}.", fields={"language": "choose one"})
    if asked.kind == MAIL:
        if fault := mail_fault(asked.address):
            raise BadInput(f"This is no e-mail address; give {fault}.", fields={"address": f"give {fault}"})
    elif fault := endpoint_fault(asked.address) or _key_fault(asked):
        raise BadInput(f"This phone cannot be told: its push service is {fault}.")


def _key_fault(asked: Asked) -> str:
    """Return what is wrong with a phone's keys: a point of P-256 and 16 octets (RFC 8291, 3.1 and 3.2)."""
    try:
        ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unpacked(asked.public_key))
        return "" if len(unpacked(asked.auth_secret)) == 16 else "without a proper secret"
    except ValueError:
        return "without a proper key"


def unpacked(text: str) -> bytes:
    """Return the octets of base64url without padding (RFC 7515, 2)."""
    if not text.isascii() or len(text) > 200:
        raise ValueError("no key")
    return urlsafe_b64decode(text + "=" * (-len(text) % 4))


def _ways(session: Session, asked: Asked) -> list[WordWay]:
    whose = (WordWay.player_id == asked.player_id) if asked.player_id else (WordWay.contact_id == asked.contact_id)
    return list(session.scalars(select(WordWay).where(whose).order_by(WordWay.id)))


def ensure_contacts(session: Session, event: Event, player_id: int, at: datetime) -> None:
    """Give each contact that is to be told of a player a way by the e-mail address that the desk keeps of it."""
    for contact in session.scalars(told_contacts(player_id)):
        way = _kept_way(session, contact)
        is_new = way is None or way.ended_why == NO_ADDRESS
        if is_new and contact.email and not mail_fault(contact.email):
            session.add(
                WordWay(
                    event_id=event.id, contact_id=contact.id, kind=MAIL, address=contact.email, at=at, by=contact.code,
                    language=contact.language or "en", stop_token=secrets.token_urlsafe(16),
                )
            )  # fmt: skip
    session.flush()


def follow_address(session: Session, contact: Contact, at: datetime) -> None:
    """Let the way by a contact's address at the desk follow a change of it; one that was stopped stays stopped."""
    way = _kept_way(session, contact)
    if way is None or way.ended_at is not None:
        return
    if mail_fault(contact.email):
        end_way(session, way, at, NO_ADDRESS)
    else:
        way.address, way.language = contact.email, contact.language or way.language


def _kept_way(session: Session, contact: Contact) -> WordWay | None:
    kept = (WordWay.contact_id == contact.id) & (WordWay.kind == MAIL) & (WordWay.by == contact.code)
    return session.scalar(select(WordWay).where(kept).order_by(WordWay.id.desc()).limit(1))


def stop_way(session: Session, event_id: int, way_id: int, *, acting: Acting) -> WordWay:
    """Tell somebody no more by one way; its address is forgotten, and what waits for it is dropped."""
    event, way = lock_and_find(session, event_id, WordWay, way_id, "way to tell somebody")
    if way.ended_at is None:
        end_way(session, way, acting.at, STOPPED)
        _log(session, event, acting, f"{way.called} is told {WORDS[way.kind]} no more")
    return way


def event_of_stop(session: Session, token: str) -> int | None:
    """Return the event of the way whose link this is; None where there is none."""
    return session.scalar(select(WordWay.event_id).where(WordWay.stop_token == token))


def stop_by_token(session: Session, token: str, *, at: datetime, by: str) -> WordWay:
    """Tell somebody no more by the way whose link this is; touching it twice is no fault."""
    found = session.execute(select(WordWay.id, WordWay.event_id).where(WordWay.stop_token == token)).first()
    if found is None:
        raise NotFound("This link is not known (any more); nothing was changed.")
    return stop_way(session, found.event_id, found.id, acting=Acting(by=by, at=at))


def end_way(session: Session, way: WordWay, at: datetime, why: str) -> None:
    """End a way for good: without address and keys, and nothing waits for it."""
    way.ended_at, way.ended_why = at, why
    way.address = way.public_key = way.auth_secret = ""
    drop_waiting(session, Word.way_id == way.id, why)


def end_ways_of(session: Session, person: Player | Contact, at: datetime, *, by: str) -> None:
    """End every way that was entered BY a person's own page: its link is a new one now."""
    mine = WordWay.player_id == person.id if isinstance(person, Player) else WordWay.contact_id == person.id
    for way in session.scalars(select(WordWay).where(mine, WordWay.by == by, WordWay.ended_at.is_(None))):
        end_way(session, way, at, STOPPED)
