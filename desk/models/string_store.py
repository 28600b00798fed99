"""String: what it is, the reels and sets of it, and every metre that went."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base
from desk.models.people import Player


class StringType(Base):
    """A string; material is polyester, nylon_multifilament, nylon_monofilament, natural_gut, aramid or other."""

    __tablename__ = "string_type"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    gauge_mm: Mapped[float | None]
    colour: Mapped[str] = mapped_column(default="")
    material: Mapped[str]


class Reel(Base):
    """A reel or a set of one string, owned by the desk or by a player.

    `price_minor` is what the metres of its first entry cost when they were bought; empty: not known.
    """

    __tablename__ = "reel"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    string_type_id: Mapped[int] = mapped_column(ForeignKey("string_type.id", ondelete="RESTRICT"), index=True)
    kind: Mapped[str] = mapped_column(default="reel")
    owner_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="SET NULL"))
    place: Mapped[str] = mapped_column(default="")
    price_minor: Mapped[int | None]
    withdrawn_at: Mapped[datetime | None]

    string_type: Mapped[StringType] = relationship()
    owner: Mapped[Player | None] = relationship()
    entries: Mapped[list[ReelEntry]] = relationship(order_by="ReelEntry.id", cascade="all, delete-orphan")


class ReelEntry(Base):
    """Metres that came (positive) or went (negative); stock is the sum of a reel's entries.

    `kind` is opening, received, use, waste or correction; `part` is mains or crosses for use;
    `measured` says whether the metres were measured at the bench or computed.
    """

    __tablename__ = "reel_entry"

    reel_id: Mapped[int] = mapped_column(ForeignKey("reel.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    kind: Mapped[str]
    metres: Mapped[float]
    job_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"), index=True)
    part: Mapped[str | None]
    measured: Mapped[bool] = mapped_column(default=False)
    note: Mapped[str] = mapped_column(default="")

    reel: Mapped[Reel] = relationship(back_populates="entries")
