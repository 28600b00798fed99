"""The key that signs sessions, kept in the records."""

from __future__ import annotations

import secrets

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from desk.models import Secret
from desk.models.database import Database


def kept_key(database: Database) -> str:
    """Return the key that was made at the first start; two processes that start at once agree on one."""
    found = select(Secret).where(Secret.name == "session")
    try:
        with database.writing() as session:
            kept = session.scalar(found)
            if kept is None:
                kept = Secret(name="session", value=secrets.token_hex(32))
                session.add(kept)
            return kept.value
    except IntegrityError:
        with database.reading() as session:
            return session.scalars(found).one().value
