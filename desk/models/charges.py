"""Prices, who pays, charges and what was paid; all in integer minor units of the event's currency."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base
from desk.models.contacts import Contact
from desk.models.people import Player
from desk.trade.event.money import per_cent_of


class Price(Base):
    """One line of the price list.

    `kind` is labour, on_court, string, extra_work or stencil; `per` is job, set or metre. Prices
    of one string name it, others do not. `tax_basis_points` is the tax within it, hundredths of a per
    cent; None: the event's rate.
    """

    __tablename__ = "price"
    __table_args__ = (UniqueConstraint("event_id", "kind", "string_type_id", "per"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    kind: Mapped[str]
    string_type_id: Mapped[int | None] = mapped_column(ForeignKey("string_type.id", ondelete="CASCADE"))
    per: Mapped[str] = mapped_column(default="job")
    amount_minor: Mapped[int]
    tax_basis_points: Mapped[int | None]


class PayRule(Base):
    """What a contact pays of each racquet: the kinds of charge in `covers`, with commas between.

    `player_id` narrows it to one player, `first_racquets` to a player's first so many. The rules of an event are
    asked in the order of their rows; the first that fits names the payer.
    """

    __tablename__ = "pay_rule"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    payer_id: Mapped[int] = mapped_column(ForeignKey("contact.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"), index=True)
    covers: Mapped[str]
    first_racquets: Mapped[int | None]

    payer: Mapped[Contact] = relationship()
    player: Mapped[Player | None] = relationship()


class Charge(Base):
    """An amount owed for a player's racquet; a correction is a further row that names the corrected one.

    `payer_id` is the contact that pays; empty: the player. One that goes to another payer is taken back on the
    first account and written anew on the other. `tax_minor` is the tax within the amount, at the rate that held
    when it was charged.
    """

    __tablename__ = "charge"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    payer_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="RESTRICT"), index=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"), index=True)
    kind: Mapped[str]
    text: Mapped[str]
    amount_minor: Mapped[int]
    tax_minor: Mapped[int] = mapped_column(default=0)
    tax_basis_points: Mapped[int] = mapped_column(default=0, server_default="0")
    currency: Mapped[str]
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("charge.id", ondelete="SET NULL"))

    @property
    def tax_per_cent(self) -> Decimal:
        return per_cent_of(self.tax_basis_points)


class Settlement(Base):
    """What a player or another payer paid, was paid back, or need not pay any more; one of the two is named.

    `kind` is payment, refund (its amount is below zero) or write_off; `method` is cash, card, prize_money or
    federation, and empty for a write-off. A line taken back stands against a further one of the same kind and
    method with the opposite amount, which names it.
    """

    __tablename__ = "settlement"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    payer_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="RESTRICT"), index=True)
    amount_minor: Mapped[int]
    currency: Mapped[str]
    kind: Mapped[str] = mapped_column(default="payment", server_default="payment")
    method: Mapped[str]
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    takes_back_id: Mapped[int | None] = mapped_column(ForeignKey("settlement.id", ondelete="SET NULL"))


class Invoice(Base):
    """An invoice, numbered from 1 without gaps; never changed or deleted.

    It holds the charges of a player, or of another payer (`payer_id`) for all their players, that stood on no
    invoice before; `payer` is the address as it is printed. What is corrected later stands on a
    further invoice, with its sign.
    """

    __tablename__ = "invoice"
    __table_args__ = (UniqueConstraint("event_id", "number"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    payer_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="RESTRICT"), index=True)
    number: Mapped[int]
    issuer: Mapped[str] = mapped_column(default="")
    payer: Mapped[str]
    at: Mapped[datetime]
    by: Mapped[str]

    player: Mapped[Player | None] = relationship()
    contact: Mapped[Contact | None] = relationship()


class InvoiceLine(Base):
    """A charge on an invoice; no charge stands on two."""

    __tablename__ = "invoice_line"

    invoice_id: Mapped[int] = mapped_column(ForeignKey("invoice.id", ondelete="CASCADE"), index=True)
    charge_id: Mapped[int] = mapped_column(ForeignKey("charge.id", ondelete="RESTRICT"), unique=True)
