"""Cards that are known from an earlier event, until the racquet is strung here."""

from __future__ import annotations

from decimal import Decimal

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, composite, mapped_column, relationship

from desk.models.base import Base
from desk.models.racquets import Racquet
from desk.models.string_store import StringType
from desk.trade.bed import HalfCard, StringBed


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
