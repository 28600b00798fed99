"""Who may sign in: accounts with a role, and bench devices on which stringers use a short PIN.

A try is counted before the password is looked at and cleared when it was right, in two
transactions: many tries at once are slowed like tries one after another, and the slow hash is
computed while nothing is locked. Times here are real ones, never a rehearsed event's.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session
from werkzeug.security import check_password_hash, generate_password_hash

from desk.errors import BadInput, Conflict, NotAllowed
from desk.models import Account, SignedSession, Stringer, TrustedDevice
from desk.queries.finding import find
from desk.services.acting import Acting, lock_and_find, lock_event, log_change, write_log
from desk.services.team.guessing import TryCounts, Who, in_turn, refuse_too_early

ROLES = ("lead", "desk", "stringer", "organiser")
SHORTEST_PASSWORD = 8
LONGEST_SECRET = 1000
PIN_LENGTHS = (4, 8)
_unknown_names = TryCounts()
_known_browsers = TryCounts()
_NOBODY = generate_password_hash(secrets.token_hex(16))


@dataclass(frozen=True)
class Try:
    """A counted try: the row of the account (None for an unknown name) and the hash to check."""

    row_id: int | None
    secret_hash: str

    def is_right(self, secret: str, who: Who) -> bool:
        """Tell whether SECRET is the one; takes as long for an unknown name as for a known one."""
        fits = in_turn(lambda: check_password_hash(self.secret_hash, secret[:LONGEST_SECRET]), who)
        return fits and self.row_id is not None


def _count_try(row: Account | TrustedDevice, now: datetime) -> None:
    refuse_too_early(row.wrong_tries, row.last_wrong_at, now)
    row.wrong_tries += 1
    row.last_wrong_at = now


def _clear_tries(row: Account | TrustedDevice) -> None:
    row.wrong_tries, row.last_wrong_at = 0, None


def open_password_try(session: Session, name: str, *, now: datetime, browser: str = "") -> Try:
    """Count a try to sign in under NAME; refused while earlier wrong ones must be waited for.

    BROWSER names one on which this account signed in before: it waits for its own wrong tries only.
    """
    named = func.lower(Account.name) == name.strip().lower()
    row = session.scalar(select(Account).where(named, Account.active).with_for_update())
    if row is None or not row.password_hash:
        _unknown_names.count(name.strip().lower(), now)
        return Try(None, _NOBODY)
    if browser:
        _known_browsers.count(browser, now)
    else:
        _count_try(row, now)
    return Try(row.id, row.password_hash)


def accept_password(session: Session, account_id: int, *, browser: str = "") -> Account:
    """Clear the tries of an account whose password was right."""
    account = find(session, Account, account_id, "account")
    _clear_tries(account)
    _known_browsers.clear(browser)
    return account


def open_pin_try(session: Session, device_id: int, stringer_id: int, *, now: datetime) -> Try:
    """Count a try to sign in by PIN on a trusted device."""
    device = session.scalar(select(TrustedDevice).where(TrustedDevice.id == device_id).with_for_update())
    if device is None or device.withdrawn_at is not None:
        raise NotAllowed("This device is not trusted (any more); ask the desk lead to trust it again.")
    _count_try(device, now)
    stringer = session.get(Stringer, stringer_id)
    if stringer is None or stringer.event_id != device.event_id or not stringer.pin_hash:
        return Try(None, _NOBODY)
    return Try(stringer.id, stringer.pin_hash)


def accept_pin(session: Session, device_id: int, stringer_id: int) -> Stringer:
    """Clear the tries of a device on which the right PIN was given."""
    _clear_tries(find(session, TrustedDevice, device_id, "device"))
    return find(session, Stringer, stringer_id, "stringer")


def add_account(
    session: Session, *, name: str, role: str, password: str | None, event_id: int | None = None
) -> Account:
    """Add somebody who may sign in; without a password (None) only by a link of `account_links`."""
    if role not in ROLES:
        raise BadInput(f"“{role}” is no role; take one of {', '.join(ROLES)}.", fields={"role": "choose a role"})
    secret_hash = "" if password is None else _hash_password(password)
    account = Account(name=_free_name(session, name), role=role, password_hash=secret_hash, event_id=event_id)
    session.add(account)
    session.flush()
    return account


def rename_account(session: Session, account_id: int, name: str) -> None:
    """Give an account another name; the name is taken once, whatever its case."""
    account = find(session, Account, account_id, "account")
    account.name = _free_name(session, name, but=account.id)


def _free_name(session: Session, name: str, *, but: int = 0) -> str:
    name = name.strip()
    if not name:
        raise BadInput("An account needs a name.", fields={"name": "give a name"})
    taken = select(Account.id).where(func.lower(Account.name) == name.lower(), Account.id != but)
    if session.scalar(taken) is not None:
        raise BadInput(f"There is an account “{name}” already.", fields={"name": "this name is taken"})
    return name


def _hash_password(password: str) -> str:
    if len(password) < SHORTEST_PASSWORD:
        text = f"at least {SHORTEST_PASSWORD} characters; three plain words do well"
        raise BadInput(f"A password needs {text}.", fields={"password": text})
    return generate_password_hash(password)


def change_password(session: Session, account_id: int, password: str) -> None:
    """Set a new password; sessions with the old one end, and so does a link to choose one."""
    account = find(session, Account, account_id, "account")
    account.password_hash = _hash_password(password)
    account.link_hash, account.link_until = "", None
    _clear_tries(account)


def set_active(session: Session, account_id: int, *, active: bool) -> None:
    """Let an account sign in or not; the last lead stays."""
    account = find(session, Account, account_id, "account")
    if not active and account.role == "lead" and _leads(session) == [account.id]:
        raise Conflict("This is the last lead who can sign in; add another lead first.")
    account.active = active
    if not active:
        session.execute(delete(SignedSession).where(SignedSession.account_id == account.id))


def _leads(session: Session) -> list[int]:
    return list(session.scalars(select(Account.id).where(Account.role == "lead", Account.active)))


def has_accounts(session: Session) -> bool:
    """Tell whether anybody may sign in at all; nobody can before the first start."""
    return session.scalar(select(Account.id).limit(1)) is not None


def set_pin(session: Session, event_id: int, stringer_id: int, pin: str, *, acting: Acting) -> None:
    """Give a stringer a PIN of 4 to 8 digits for trusted bench devices; an empty one takes it away."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    low, high = PIN_LENGTHS
    if pin and not (pin.isascii() and pin.isdigit() and low <= len(pin) <= high):
        raise BadInput(f"A PIN is {low} to {high} digits.", fields={"pin": f"{low} to {high} digits"})
    stringer.pin_hash = generate_password_hash(pin) if pin else ""
    session.execute(delete(SignedSession).where(SignedSession.stringer_id == stringer.id))
    log_change(
        session, event, acting, f"PIN of {stringer.name} {'set' if pin else 'taken away'}", subject="team", plan=False
    )


def token_hash(token: str) -> str:
    """Return what is stored of a device's token; the token is random, so that a plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def trust_device(session: Session, event_id: int, name: str, *, acting: Acting) -> str:
    """Trust the device that asks, under NAME, and return the token that it keeps."""
    event = lock_event(session, event_id)
    if not name.strip():
        raise BadInput("Say which device this is, such as “tablet at bench 3”.", fields={"name": "name the device"})
    token = secrets.token_urlsafe(32)
    session.add(
        TrustedDevice(
            event_id=event_id,
            name=name.strip(),
            token_hash=token_hash(token),
            trusted_at=acting.at,
            trusted_by=acting.by,
        )
    )
    write_log(session, event, acting, "team", f"Device “{name.strip()}” trusted for PINs")
    return token


def withdraw_device(session: Session, event_id: int, device_id: int, *, acting: Acting) -> None:
    """Trust a device no longer; who is signed in on it is signed out."""
    event, device = lock_and_find(session, event_id, TrustedDevice, device_id, "device")
    device.withdrawn_at = acting.at
    write_log(session, event, acting, "team", f"Device “{device.name}” is no longer trusted")


def device_of_token(session: Session, token: str) -> TrustedDevice | None:
    """Return the trusted device that holds TOKEN."""
    if not token:
        return None
    found = select(TrustedDevice).where(TrustedDevice.token_hash == token_hash(token))
    return session.scalar(found.where(TrustedDevice.withdrawn_at.is_(None)))
