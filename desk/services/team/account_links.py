"""A link with which somebody chooses their password: it works once, for a day.

Times here are real ones, never a rehearsed event's.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Account
from desk.queries.team.accounts import uninvited
from desk.services.team import accounts

HOLDS_FOR = timedelta(hours=24)
SPENT = "This link was used already or is older than a day. Ask for a new one: python -m desk account reset NAME."


@dataclass(frozen=True)
class AccountLink:
    """Whose account a link opens, and its secret."""

    name: str
    token: str


def make_lead(session: Session, name: str, *, now: datetime) -> AccountLink | None:
    """Make the first account, a lead's, with a link; None where there is an account already."""
    if accounts.has_accounts(session):
        return None
    return give_link(session, accounts.add_account(session, name=name, role="lead", password=None), now=now)


def give_link(session: Session, account: Account, *, now: datetime) -> AccountLink:
    """Take an account's password away, which ends its sessions, and give a link to choose another."""
    token = secrets.token_urlsafe(24)
    account.password_hash, account.link_hash, account.link_until = "", accounts.token_hash(token), now + HOLDS_FOR
    session.flush()
    return AccountLink(account.name, token)


def invite_stringers(session: Session, event_id: int, *, now: datetime) -> list[AccountLink]:
    """Give each stringer of an event who has no password yet an account of this event, and a link to choose one.

    Whoever has one already keeps it.
    """
    links = []
    for name in uninvited(session, event_id):
        account = session.scalar(select(Account).where(func.lower(Account.name) == name.lower()))
        if account is None:
            account = accounts.add_account(session, name=name, role="stringer", password=None, event_id=event_id)
        links.append(give_link(session, account, now=now))
    return links


def account_of_link(session: Session, token: str, *, now: datetime) -> Account:
    """Return whose link this is; refused when it was used, is too old, or never was."""
    found = select(Account).where(Account.link_hash == accounts.token_hash(token), Account.link_until > now)
    account = session.scalar(found.where(Account.active).with_for_update())
    if account is None:
        raise NotFound(SPENT)
    return account


def choose_password(session: Session, token: str, password: str, *, now: datetime) -> Account:
    """Set the password that the holder of a link chose; the link ends with it."""
    account = account_of_link(session, token, now=now)
    accounts.change_password(session, account.id, password)
    return account


def account_named(session: Session, name: str) -> Account:
    """Return the account of a name, whatever its case."""
    account = session.scalar(select(Account).where(func.lower(Account.name) == name.strip().lower()))
    if account is None:
        raise NotFound(f"There is no account “{name}”; `python -m desk account list` shows them.")
    return account
