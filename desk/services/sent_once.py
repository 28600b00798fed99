"""A form that is sent twice counts once: what was carried out is remembered in the same transaction."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from desk.models import SentForm

REMEMBERED = timedelta(days=2)
SWEEP_EVERY = 200


class SentTwice(Exception):
    """The same form was carried out before; there is nothing left to do."""


def claim(session: Session, digest: str, *, real_now: datetime) -> None:
    """Note that the form of this DIGEST is carried out now.

    Raises
    ------
    SentTwice
        It was already, or another request does so at this moment.
    """
    if session.scalar(select(SentForm.id).where(SentForm.digest == digest)) is not None:
        raise SentTwice
    row = SentForm(digest=digest, at=real_now)
    session.add(row)
    try:
        session.flush()
    except IntegrityError as error:
        raise SentTwice from error
    if row.id % SWEEP_EVERY == 0:
        session.execute(delete(SentForm).where(SentForm.at < real_now - REMEMBERED))
