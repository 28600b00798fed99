"""What the programs of one installation tell each other: heart-beats, forms that were sent, who is signed in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from desk.models.base import Base


class PlannerBeat(Base):
    """The heart-beat of one planner process; `beats` grows while it is well, whatever the clocks say."""

    __tablename__ = "planner_beat"

    holder: Mapped[str] = mapped_column(unique=True)
    beats: Mapped[int] = mapped_column(default=0)
    at: Mapped[datetime]


class SentForm(Base):
    """A form that was carried out, so that the same one sent again counts once."""

    __tablename__ = "sent_form"

    digest: Mapped[str] = mapped_column(unique=True)
    at: Mapped[datetime]


class SignedSession(Base):
    """Somebody signed in on one browser; what is ended here is ended, whatever cookie is shown."""

    __tablename__ = "signed_session"

    key_hash: Mapped[str] = mapped_column(unique=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("account.id", ondelete="CASCADE"), index=True)
    stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"), index=True)
    begun_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
