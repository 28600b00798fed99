"""Rehearsals of an event as they were made, for the screen and to be held against what came."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from desk.models.base import Base


class Rehearsal(Base):
    """One rehearsal: `report` is that of `exports.rehearsal`, field by field; `asked` what was typed for it."""

    __tablename__ = "rehearsal"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    made_at: Mapped[datetime]
    by: Mapped[str]
    asked: Mapped[dict[str, Any]] = mapped_column(JSON)
    report: Mapped[dict[str, Any]] = mapped_column(JSON)
