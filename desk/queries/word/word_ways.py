"""By which ways somebody is told, and whether this installation can send by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import ColumnElement, Select, select
from sqlalchemy.orm import Session

from desk.installation import setting
from desk.models import Contact, ContactPlayer, WordWay
from desk.queries.row_making import row_of

MAIL, PHONE = "mail", "phone"
BY_PAGE = "the own page"
"""Who entered a way that the person entered."""


@dataclass(frozen=True, kw_only=True)
class Doors:
    """What this installation lacks to send by e-mail and to phones, in a sentence; empty where it can."""

    mail: str
    phone: str


@dataclass(frozen=True, kw_only=True)
class OwnWay:
    """One way as its person and the desk see it; `mark` is by what a phone recognises itself."""

    id: int
    kind: str
    address: str
    language: str
    at: datetime
    by: str
    mark: str


def doors() -> Doors:
    """Return by which doors word can leave, from the settings of the installation."""
    public = setting("DESK_PUBLIC_URL")
    address = "" if public.startswith("https://") else "DESK_PUBLIC_URL must be the desk’s https address."
    missing = [name for name in ("DESK_MAIL_HOST", "DESK_MAIL_FROM", "DESK_PUBLIC_URL") if not setting(name)]
    return Doors(mail=f"{' and '.join(missing)} must be set." if missing else "", phone=address)


def mark_of(address: str) -> str:
    """Return what stands for an address where the address itself must not stand."""
    return sha256(address.encode()).hexdigest()[:32]


def told_contacts(player_id: int) -> Select:
    """Return the statement for the contacts that are told of a player's racquets."""
    return (
        select(Contact)
        .join(ContactPlayer, ContactPlayer.contact_id == Contact.id)
        .where(ContactPlayer.player_id == player_id, ContactPlayer.is_told)
        .where(Contact.ended_at.is_(None), Contact.erased_at.is_(None))
    )


def may_be_told(session: Session, contact_id: int) -> bool:
    """Tell whether a contact is to be told of any player's racquets."""
    found = select(ContactPlayer.id).where(ContactPlayer.contact_id == contact_id, ContactPlayer.is_told).limit(1)
    return session.scalar(found) is not None


def who_wants(player_id: int) -> ColumnElement[bool]:
    """Return the condition that a way leads to the player, or to a contact that is told of the player's racquets."""
    contacts = told_contacts(player_id).with_only_columns(Contact.id)
    return WordWay.ended_at.is_(None) & ((WordWay.player_id == player_id) | WordWay.contact_id.in_(contacts))


def ways_of(session: Session, *, player_id: int | None = None, contact_id: int | None = None) -> Sequence[OwnWay]:
    """Return the ways of one player or one contact that are in use, the first one first."""
    whose = WordWay.player_id == player_id if player_id is not None else WordWay.contact_id == contact_id
    rows = session.scalars(select(WordWay).where(whose, WordWay.ended_at.is_(None)).order_by(WordWay.id))
    return [
        row_of(OwnWay, row, address=row.address if row.kind == MAIL else "", mark=mark_of(row.address)) for row in rows
    ]
