"""House minutes that the lead has overruled; all others are learned or default."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from desk.models.base import Base


class HouseTime(Base):
    """Minutes at pace 100 for one kind of job, as the lead decided."""

    __tablename__ = "house_time"
    __table_args__ = (UniqueConstraint("event_id", "key"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    key: Mapped[str]
    minutes: Mapped[int]
    at: Mapped[datetime]
    by: Mapped[str]
