"""Those who stand for players: coaches, agents, federations, doubles partners, and who else pays."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base
from desk.models.people import Player


class Contact(Base):
    """Somebody who stands for players at one event; `token` opens the contact's own page.

    `kind` is one of `desk.trade.contacts.KINDS`; telephone, e-mail and `language` (de, empty for none) may be empty.
    From `ended_at` on the link is dead and nothing is offered to the contact any more.
    """

    __tablename__ = "contact"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    search_name: Mapped[str] = mapped_column(index=True)
    kind: Mapped[str]
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    language: Mapped[str] = mapped_column(default="")
    token: Mapped[str] = mapped_column(unique=True)
    token_issued_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    erased_at: Mapped[datetime | None]

    @property
    def called(self) -> str:
        """The name as everybody reads it, as of a player."""
        return self.name

    players: Mapped[list[ContactPlayer]] = relationship(
        back_populates="contact", order_by="ContactPlayer.id", cascade="all, delete-orphan"
    )


class ContactPlayer(Base):
    """What a contact may do for one player, and whether it sees that player's prices."""

    __tablename__ = "contact_player"
    __table_args__ = (UniqueConstraint("contact_id", "player_id"),)

    contact_id: Mapped[int] = mapped_column(ForeignKey("contact.id", ondelete="CASCADE"))
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"), index=True)
    may_drop_off: Mapped[bool] = mapped_column(default=False, server_default=false())
    may_collect: Mapped[bool] = mapped_column(default=False, server_default=false())
    is_told: Mapped[bool] = mapped_column(default=False, server_default=false())
    may_pay: Mapped[bool] = mapped_column(default=False, server_default=false())
    sees_prices: Mapped[bool] = mapped_column(default=False, server_default=false())

    contact: Mapped[Contact] = relationship(back_populates="players")
    player: Mapped[Player] = relationship()
