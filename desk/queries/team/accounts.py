"""Those who may sign in."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Account, Event


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
