"""Those who pay for players: whom one can choose, and what each was charged, paid and owes."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, ContactPlayer, Event, Player, Settlement
from desk.queries.players.contacts import players_by_contact
from desk.trade.contacts import PAY_FOR_ALL


@dataclass(frozen=True, kw_only=True)
class PayerTotal:
    """One payer who is no player: for whom, and the money so far in minor units; `players` are named in order."""

    contact_id: int
    name: str
    kind: str
    ended: bool
    players: tuple[str, ...]
    charged_minor: int
    paid_minor: int

    @property
    def open_minor(self) -> int:
        return self.charged_minor - self.paid_minor


def payer_totals(session: Session, event: Event) -> list[PayerTotal]:
    """Return everybody who may pay for players or was charged for some, by name."""
    charged, paid = _sums(session, event, Charge), _sums(session, event, Settlement)
    players = players_by_contact(session, Player.event_id == event.id, ContactPlayer.may_pay.is_(True))
    found = select(Contact).where(Contact.event_id == event.id).order_by(Contact.search_name, Contact.code)
    return [
        PayerTotal(
            contact_id=one.id,
            name=one.name,
            kind=one.kind,
            ended=one.ended_at is not None,
            players=tuple(players.get(one.id, ())),
            charged_minor=charged.get(one.id, 0),
            paid_minor=paid.get(one.id, 0),
        )
        for one in session.scalars(found)
        if one.id in charged or one.id in paid or _may_pay(one, players)
    ]


def _may_pay(one: Contact, players: dict[int, list[str]]) -> bool:
    return one.ended_at is None and (one.kind in PAY_FOR_ALL or one.id in players)


def _sums(session: Session, event: Event, table: type[Charge] | type[Settlement]) -> dict[int, int]:
    found = (
        select(table.payer_id, func.sum(table.amount_minor))
        .where(table.event_id == event.id, table.payer_id.is_not(None))
        .group_by(table.payer_id)
    )
    return {payer_id: int(minor) for payer_id, minor in session.execute(found)}


def payer_choices(session: Session, event: Event, player_id: int | None) -> list[tuple[int, str, str]]:
    """Return (id, name, kind) of whoever may pay: for one player, or for any at all where none is named."""
    pays = select(ContactPlayer.contact_id).where(ContactPlayer.may_pay.is_(True))
    if player_id is not None:
        pays = pays.where(ContactPlayer.player_id == player_id)
    found = (
        select(Contact.id, Contact.name, Contact.kind)
        .where(Contact.event_id == event.id, Contact.ended_at.is_(None))
        .where(or_(Contact.kind.in_(PAY_FOR_ALL), Contact.id.in_(pays)))
        .order_by(Contact.search_name)
    )
    return [tuple(row) for row in session.execute(found)]
