"""Frames and the racquets that players own."""

from __future__ import annotations

from decimal import Decimal

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, composite, mapped_column, relationship

from desk.models.base import Base
from desk.models.people import Player
from desk.trade.string_length import Pattern


class Frame(Base):
    """A frame model: head, pattern, and the tension range printed on it."""

    __tablename__ = "frame"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    head_sq_in: Mapped[float | None]
    head_length_cm: Mapped[float | None]
    head_width_cm: Mapped[float | None]
    mains: Mapped[int]
    crosses: Mapped[int]
    tension_low: Mapped[Decimal | None]
    tension_high: Mapped[Decimal | None]
    tension_unit: Mapped[str | None]

    pattern: Mapped[Pattern] = composite(Pattern, "mains", "crosses")


class Racquet(Base):
    """One racquet; a player numbers theirs from 1."""

    __tablename__ = "racquet"
    __table_args__ = (UniqueConstraint("player_id", "number"),)

    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"))
    frame_id: Mapped[int] = mapped_column(ForeignKey("frame.id", ondelete="RESTRICT"))
    number: Mapped[int]
    note: Mapped[str] = mapped_column(default="")

    player: Mapped[Player] = relationship()
    frame: Mapped[Frame] = relationship()
