"""Contacts: found by a few letters, with their players and what they may do; and the contacts of one player."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session

from desk.models import Contact, ContactPlayer, Event, Job, Player, Racquet
from desk.queries.players.players import AT_DESK, begins_a_word
from desk.queries.row_making import grouped, row_of
from desk.trade.contacts import KINDS, Leave
from desk.trade.event.names import search_name


@dataclass(frozen=True, kw_only=True)
class ContactRow:
    """A contact in a list, with the names of the players for whom it stands."""

    contact_id: int
    code: str
    name: str
    kind: str
    players: tuple[str, ...]
    ended: bool


@dataclass(frozen=True, kw_only=True)
class StoodFor:
    """A player for whom a contact stands: what it may do, and how many racquets are at home and at the desk."""

    player_id: int
    player: str
    leave: Leave
    racquets: int
    at_desk: int

    @property
    def at_home(self) -> int:
        return self.racquets - self.at_desk


@dataclass(frozen=True, kw_only=True)
class ContactOf:
    """A contact of one player."""

    contact_id: int
    name: str
    kind: str
    leave: Leave

    @property
    def kind_word(self) -> str:
        return KINDS[self.kind]

    @property
    def said(self) -> str:
        """The name with what it is: "Ana Ruiz, coach"."""
        return f"{self.name}, {self.kind_word}"


def find_contacts(session: Session, event: Event, text: str, *, limit: int = 50) -> list[ContactRow]:
    """Return contacts of whom every word of TEXT begins a part of the name, or whose code it is; those ended last."""
    wanted = search_name(text)
    found = select(Contact).where(Contact.event_id == event.id, Contact.erased_at.is_(None))
    if wanted:
        by_name = and_(*(begins_a_word(Contact.search_name, word) for word in wanted.split()))
        found = found.where(or_(by_name, func.lower(Contact.code) == wanted))
    ordered = found.order_by(Contact.ended_at.is_not(None), Contact.search_name, Contact.code)
    contacts = session.scalars(ordered.limit(limit)).all()
    return _rows(session, contacts)


def _rows(session: Session, contacts: Sequence[Contact]) -> list[ContactRow]:
    names = players_by_contact(session, ContactPlayer.contact_id.in_([one.id for one in contacts]))
    return [
        row_of(ContactRow, one, contact_id=one.id, players=tuple(names[one.id]), ended=one.ended_at is not None)
        for one in contacts
    ]


def players_by_contact(session: Session, *which: ColumnElement[bool]) -> dict[int, list[str]]:
    """Return by contact the names of the players for whom it stands, as far as these conditions hold."""
    found = (
        select(ContactPlayer.contact_id, Player.called)
        .join(Player, Player.id == ContactPlayer.player_id)
        .where(*which)
        .order_by(Player.search_name)
    )
    return grouped(session.execute(found))


def stood_for(session: Session, contact: Contact) -> list[StoodFor]:
    """Return the players for whom a contact stands, by name."""
    owned = select(func.count()).where(Racquet.player_id == Player.id).correlate(Player).scalar_subquery()
    here = select(func.count(Job.racquet_id.distinct())).where(Job.player_id == Player.id, Job.state.in_(AT_DESK))
    found = (
        select(ContactPlayer, Player.called, owned, here.correlate(Player).scalar_subquery())
        .join(Player, Player.id == ContactPlayer.player_id)
        .where(ContactPlayer.contact_id == contact.id, Player.erased_at.is_(None))
        .order_by(Player.search_name, Player.code)
    )
    return [
        StoodFor(player_id=link.player_id, player=name, leave=_leave(link), racquets=racquets, at_desk=at_desk)
        for link, name, racquets, at_desk in session.execute(found)
    ]


def _leave(link: ContactPlayer) -> Leave:
    return row_of(Leave, link)


def contacts_of(session: Session, player_id: int) -> list[ContactOf]:
    """Return the contacts of a player that have not ended, in the order in which they came."""
    found = (
        select(ContactPlayer, Contact)
        .join(Contact, Contact.id == ContactPlayer.contact_id)
        .where(ContactPlayer.player_id == player_id, Contact.ended_at.is_(None))
        .order_by(ContactPlayer.id)
    )
    return [
        ContactOf(contact_id=contact.id, name=contact.name, kind=contact.kind, leave=_leave(link))
        for link, contact in session.execute(found)
    ]


def player_choices(session: Session, event: Event, contact_id: int) -> list[tuple[int, str]]:
    """Return (id, name) of the players for whom a contact does not stand yet, by name."""
    taken = select(ContactPlayer.player_id).where(ContactPlayer.contact_id == contact_id)
    found = select(Player.id, Player.called).where(Player.event_id == event.id, Player.erased_at.is_(None))
    rows = session.execute(found.where(Player.id.not_in(taken)).order_by(Player.search_name, Player.code))
    return [tuple(row) for row in rows]


def contact_of_link(session: Session, token: str) -> tuple[int, int] | None:
    """Return (contact, event) of a link that is alive."""
    found = select(Contact.id, Contact.event_id).where(Contact.token == token, Contact.ended_at.is_(None))
    row = session.execute(found).first()
    return None if row is None else (row.id, row.event_id)


def contact_at(session: Session, event: Event, contact_id: int | None) -> ContactRow | None:
    """Return a contact of the event by its number, or None."""
    contact = None if contact_id is None else session.get(Contact, contact_id)
    if contact is None or contact.event_id != event.id:
        return None
    return _rows(session, [contact])[0]


def sees_prices(session: Session, contact_id: int | None, player_id: int) -> bool:
    """Tell whether whoever brought a player's racquets may see prices: the player may, a contact if it is allowed."""
    if contact_id is None:
        return True
    found = select(ContactPlayer.sees_prices).where(
        ContactPlayer.contact_id == contact_id, ContactPlayer.player_id == player_id
    )
    return bool(session.scalar(found))
