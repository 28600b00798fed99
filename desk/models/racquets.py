"""Frames and the racquets that players own."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from sqlalchemy import ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, composite, mapped_column, relationship

from desk.models.base import Base
from desk.models.people import Player
from desk.models.string_store import StringType
from desk.trade.racquet.bed import HalfCard, StringBed
from desk.trade.racquet.string_length import Pattern


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


class KnownCard(Base):
    """How a racquet was strung last before this event: `known_from` names the event, `year` when it was."""

    __tablename__ = "known_card"

    racquet_id: Mapped[int] = mapped_column(ForeignKey("racquet.id", ondelete="CASCADE"), unique=True)
    known_from: Mapped[str]
    year: Mapped[int]
    mains_string_id: Mapped[int] = mapped_column(ForeignKey("string_type.id", ondelete="RESTRICT"), index=True)
    crosses_string_id: Mapped[int] = mapped_column(ForeignKey("string_type.id", ondelete="RESTRICT"), index=True)
    mains_tension: Mapped[Decimal]
    crosses_tension: Mapped[Decimal]
    tension_unit: Mapped[str]
    pieces: Mapped[int]
    mains_pre_stretch: Mapped[int]
    crosses_pre_stretch: Mapped[int]
    stencil: Mapped[str]
    own_mains: Mapped[bool]
    own_crosses: Mapped[bool]
    as_fresh: Mapped[bool] = mapped_column(default=False, server_default=false())
    extra_work: ClassVar[str] = "none"

    mains: Mapped[HalfCard] = composite(
        HalfCard, "mains_string_id", "mains_tension", "tension_unit", "mains_pre_stretch", "own_mains"
    )
    crosses: Mapped[HalfCard] = composite(
        HalfCard, "crosses_string_id", "crosses_tension", "tension_unit", "crosses_pre_stretch", "own_crosses"
    )
    racquet: Mapped[Racquet] = relationship()
    mains_string: Mapped[StringType] = relationship(foreign_keys=[mains_string_id])
    crosses_string: Mapped[StringType] = relationship(foreign_keys=[crosses_string_id])

    @property
    def bed(self) -> StringBed[HalfCard]:
        return StringBed(self.mains, self.crosses)
