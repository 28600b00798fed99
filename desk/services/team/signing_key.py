"""Secrets that the installation makes for itself and keeps in the records, the key that signs sessions among them."""

from __future__ import annotations

import secrets
from collections.abc import Callable

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from desk.models import Secret
from desk.models.database import Database


def kept_key(database: Database) -> str:
    """Return the key that signs sessions, made at the first start."""
    return kept_secret(database, "session", lambda: secrets.token_hex(32))


def kept_secret(database: Database, name: str, make: Callable[[], str]) -> str:
    """Return the secret of that NAME, made once; two processes that start at once agree on one."""
    found = select(Secret).where(Secret.name == name)
    with database.reading() as session:
        kept = session.scalar(found)
        if kept is not None:
            return kept.value
    try:
        with database.writing() as session:
            kept = session.scalar(found)
            if kept is None:
                kept = Secret(name=name, value=make())
                session.add(kept)
            return kept.value
    except IntegrityError:
        with database.reading() as session:
            return session.scalars(found).one().value
