"""Whose account it is: a player's, or that of a contact who pays."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, func, select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event, Invoice, Player, Settlement


@dataclass(frozen=True, kw_only=True)
class Holder:
    """Who holds an account: one of the two is given. A player's holds what nobody else pays."""

    player_id: int | None = None
    payer_id: int | None = None

    @classmethod
    def of(cls, who: Player | Contact) -> Holder:
        return cls(player_id=who.id) if isinstance(who, Player) else cls(payer_id=who.id)

    def holds(self, table: type[Charge | Settlement | Invoice]) -> ColumnElement[bool]:
        """Return the condition that a line or an invoice stands on this account."""
        if self.payer_id is not None:
            return table.payer_id == self.payer_id
        return and_(table.player_id == self.player_id, table.payer_id.is_(None))


def open_of(session: Session, event: Event, holder: Holder) -> int:
    """Return what is still owed on an account, in minor units; below zero, what is owed back."""

    def total(table: type[Charge | Settlement]) -> int:
        found = select(func.sum(table.amount_minor)).where(table.event_id == event.id, holder.holds(table))
        return int(session.scalar(found) or 0)

    return total(Charge) - total(Settlement)
