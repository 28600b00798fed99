"""What went wrong with a racquet, and the notes by which one shift hands over to the next."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import JSON, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base
from desk.models.jobs import Job


class Mishap(Base):
    """Something that went wrong with one racquet; it stays on the lead's list until it is closed.

    `kind` is one of `desk.trade.mishaps.KINDS`; `again_id` is the job by which the racquet is strung anew.
    """

    __tablename__ = "mishap"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
    by: Mapped[str]
    again_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"))
    done: Mapped[str] = mapped_column(default="")
    closed_at: Mapped[datetime | None]
    closed_by: Mapped[str] = mapped_column(default="")

    job: Mapped[Job] = relationship(foreign_keys=job_id)
    again: Mapped[Job | None] = relationship(foreign_keys=again_id)


class ShiftNote(Base):
    """What one shift told the next: the page as it stood, and words of its own; signed by both.

    `taken_over_by` is empty until somebody takes over.
    """

    __tablename__ = "shift_note"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    words: Mapped[str] = mapped_column(default="")
    stood: Mapped[list[dict]] = mapped_column(JSON)
    taken_over_at: Mapped[datetime | None]
    taken_over_by: Mapped[str] = mapped_column(default="")
