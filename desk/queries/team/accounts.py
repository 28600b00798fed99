"""Those who may sign in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from desk.models import Account, Event, Stringer, TrustedDevice


def accounts_of(session: Session, event_id: int) -> Sequence[Account]:
    """Return the accounts that may sign in at an event, by name."""
    of_event = or_(Account.event_id.is_(None), Account.event_id == event_id)
    return session.scalars(select(Account).where(of_event).order_by(Account.name)).all()


def uninvited(session: Session, event_id: int) -> list[str]:
    """Return the names of an event's stringers who cannot sign in by a password yet, in the desk's order.

    Of one whose name is that of another role's account nobody knows that it is the same person.
    """
    unused = (Account.role == "stringer") & (Account.password_hash == "") & (Account.event_id == event_id)
    others = session.scalars(select(Account.name).where(~unused | Account.event_id.is_(None)))
    taken = {name.lower() for name in others}
    found = select(Stringer.name).where(Stringer.event_id == event_id).order_by(Stringer.position, Stringer.id)
    return [name for name in dict.fromkeys(session.scalars(found)) if name.lower() not in taken]


def devices_of(session: Session, event_id: int) -> Sequence[TrustedDevice]:
    """Return the devices of an event that are trusted."""
    found = select(TrustedDevice).where(TrustedDevice.event_id == event_id, TrustedDevice.withdrawn_at.is_(None))
    return session.scalars(found).all()


@dataclass(frozen=True)
class AccountLine:
    """One account; EVENT is the short name of its only event, empty where it may work at all of them."""

    name: str
    role: str
    event: str
    active: bool


def list_accounts(session: Session) -> list[AccountLine]:
    """Return all accounts by name."""
    found = select(Account.name, Account.role, Event.slug, Account.active).outerjoin(Event).order_by(Account.name)
    return [AccountLine(name, role, slug or "", active) for name, role, slug, active in session.execute(found)]
