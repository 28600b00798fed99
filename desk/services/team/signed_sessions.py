"""Sessions of browsers: begun at sign-in, ended at the server, so that an old cookie opens nothing."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete, update
from sqlalchemy.orm import Session

from desk.models import SignedSession
from desk.services.team.accounts import token_hash

FORGOTTEN_AFTER = timedelta(days=3)


def begin_session(
    session: Session, *, account_id: int | None = None, stringer_id: int | None = None, now: datetime
) -> str:
    """Note that somebody signed in, and return the key that their browser keeps."""
    key = secrets.token_urlsafe(24)
    session.execute(delete(SignedSession).where(SignedSession.begun_at < now - FORGOTTEN_AFTER))
    row = SignedSession(key_hash=token_hash(key), account_id=account_id, stringer_id=stringer_id, begun_at=now)
    session.add(row)
    return key


def end_session(session: Session, key: str, *, now: datetime) -> None:
    """End the session of one browser."""
    ended = update(SignedSession).where(SignedSession.key_hash == token_hash(key), SignedSession.ended_at.is_(None))
    session.execute(ended.values(ended_at=now))
