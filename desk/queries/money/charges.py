"""What players owe and paid: the price list, and one player's account."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Charge, Event, Job, Player, Price, Settlement, StringType
from desk.queries.string.store import string_label
from desk.trade.event.money import per_cent_of

METHODS = {"cash": "cash", "card": "card", "prize_money": "prize money", "federation": "federation"}
"""How money comes and goes, with its words; a federation pays for its players."""


@dataclass(frozen=True, kw_only=True)
class PriceRow:
    """One line of the price list."""

    price_id: int
    kind: str
    per: str
    string_id: int | None
    string_name: str
    amount_minor: int
    tax_basis_points: int | None
    tax_per_cent: Decimal


@dataclass(frozen=True, kw_only=True)
class ChargeLine:
    """One charge or correction; `amount_minor` is what is owed, `tax_minor` the tax within it."""

    charge_id: int
    at: datetime
    by: str
    kind: str
    text: str
    job_code: str
    amount_minor: int
    tax_minor: int
    corrects_id: int | None


@dataclass(frozen=True, kw_only=True)
class SettlementLine:
    """A payment, refund or write-off; what was taken back is a further line of the opposite amount."""

    settlement_id: int
    at: datetime
    by: str
    kind: str
    method: str
    amount_minor: int
    note: str
    is_taken_back: bool


@dataclass(frozen=True, kw_only=True)
class Account:
    """A player's account at one event, in minor units of its currency."""

    player_id: int
    player_name: str
    currency: str
    lines: tuple[ChargeLine, ...]
    settlements: tuple[SettlementLine, ...]

    @property
    def charged_minor(self) -> int:
        return sum(line.amount_minor for line in self.lines)

    @property
    def tax_minor(self) -> int:
        return sum(line.tax_minor for line in self.lines)

    @property
    def paid_minor(self) -> int:
        return sum(line.amount_minor for line in self.settlements)

    @property
    def open_minor(self) -> int:
        return self.charged_minor - self.paid_minor


def price_rows(session: Session, event: Event) -> list[PriceRow]:
    """Return the price list: general prices first, then those of single strings."""
    found = (
        select(Price, StringType)
        .outerjoin(StringType, StringType.id == Price.string_type_id)
        .where(Price.event_id == event.id)
        .order_by(Price.string_type_id.is_not(None), Price.kind, StringType.name, StringType.code, Price.per)
    )
    return [
        PriceRow(
            price_id=price.id,
            kind=price.kind,
            per=price.per,
            string_id=price.string_type_id,
            string_name="" if string is None else string_label(string),
            amount_minor=price.amount_minor,
            tax_basis_points=price.tax_basis_points,
            tax_per_cent=per_cent_of(tax_of(event, price)),
        )
        for price, string in session.execute(found)
    ]


def tax_of(event: Event, price: Price) -> int:
    """The tax within a price in hundredths of a per cent: its own, else the event's."""
    return event.tax_basis_points if price.tax_basis_points is None else price.tax_basis_points


def account(session: Session, event: Event, player: Player) -> Account:
    """Return every charge and payment of one player."""
    charges = (
        select(Charge, Job.code)
        .outerjoin(Job, Job.id == Charge.job_id)
        .where(Charge.event_id == event.id, Charge.player_id == player.id)
        .order_by(Charge.id)
    )
    payments = (
        select(Settlement)
        .where(Settlement.event_id == event.id, Settlement.player_id == player.id)
        .order_by(Settlement.id)
    )
    paid_lines = session.scalars(payments).all()
    taken_back = {paid.takes_back_id for paid in paid_lines}
    return Account(
        player_id=player.id,
        player_name=player.called,
        currency=event.currency,
        lines=tuple(_line(charge, job_code or "") for charge, job_code in session.execute(charges)),
        settlements=tuple(
            SettlementLine(
                settlement_id=paid.id,
                at=paid.at,
                by=paid.by,
                kind=paid.kind,
                method=paid.method,
                amount_minor=paid.amount_minor,
                note=paid.note,
                is_taken_back=paid.id in taken_back or paid.takes_back_id is not None,
            )
            for paid in paid_lines
        ),
    )


def _line(charge: Charge, job_code: str) -> ChargeLine:
    return ChargeLine(
        charge_id=charge.id,
        at=charge.at,
        by=charge.by,
        kind=charge.kind,
        text=charge.text,
        job_code=job_code,
        amount_minor=charge.amount_minor,
        tax_minor=charge.tax_minor,
        corrects_id=charge.corrects_id,
    )


def open_minor(session: Session, event: Event, player_id: int) -> int:
    """Return what a player still owes; below zero, what is owed back."""
    of_player = (Charge.event_id == event.id) & (Charge.player_id == player_id)
    charged = session.scalar(select(func.sum(Charge.amount_minor)).where(of_player)) or 0
    paid_by = (Settlement.event_id == event.id) & (Settlement.player_id == player_id)
    return int(charged - (session.scalar(select(func.sum(Settlement.amount_minor)).where(paid_by)) or 0))
