"""Prices, charges and what was paid; all in integer minor units of the event's currency."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from desk.models.base import Base


class Price(Base):
    """One line of the price list.

    `kind` is labour, on_court, string, extra_work or stencil; `per` is job, set or metre. Prices
    of one string name it, others do not.
    """

    __tablename__ = "price"
    __table_args__ = (UniqueConstraint("event_id", "kind", "string_type_id", "per"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    kind: Mapped[str]
    string_type_id: Mapped[int | None] = mapped_column(ForeignKey("string_type.id", ondelete="CASCADE"))
    per: Mapped[str] = mapped_column(default="job")
    amount_minor: Mapped[int]


class Charge(Base):
    """An amount owed by a player; a correction is a further row that names the corrected one."""

    __tablename__ = "charge"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"), index=True)
    kind: Mapped[str]
    text: Mapped[str]
    amount_minor: Mapped[int]
    tax_minor: Mapped[int] = mapped_column(default=0)
    currency: Mapped[str]
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("charge.id", ondelete="SET NULL"))


class Settlement(Base):
    """What a player paid; method is cash, card or prize_money."""

    __tablename__ = "settlement"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    amount_minor: Mapped[int]
    currency: Mapped[str]
    method: Mapped[str]
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
