"""What players owe and paid: the price list, and one player's account."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import groupby

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event, Job, Player, Price, Settlement, StringType
from desk.queries.money.holders import Holder, open_of
from desk.queries.row_making import row_of
from desk.queries.string.store import string_label
from desk.trade.event.event_time import EventClock
from desk.trade.event.money import per_cent_of

METHODS = {
    "cash": "cash",
    "card": "card",
    "transfer": "bank transfer",
    "prize_money": "prize money",
    "federation": "federation",
}
"""How money comes and goes, with its words; a federation pays for its players."""

BY_HAND = ("cash", "card", "transfer")
"""How somebody else than a player pays; what is booked to prize money or a federation stands on accounts of its own."""


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
    player: str
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
    """The account of a player, or of a contact that pays, in minor units of the event's currency.

    `elsewhere` is what others pay for the player: each line with the name of who does.
    """

    holder: Holder
    name: str
    currency: str
    lines: tuple[ChargeLine, ...]
    settlements: tuple[SettlementLine, ...]
    elsewhere: tuple[tuple[ChargeLine, str], ...] = ()

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

    @property
    def standing(self) -> tuple[tuple[ChargeLine, int], ...]:
        """Each first line with what it comes to after its corrections; what came to nothing is left out."""
        sums: dict[int, int] = {}
        for line in self.lines:
            first = line.corrects_id or line.charge_id
            sums[first] = sums.get(first, 0) + line.amount_minor
        return tuple((line, sums[line.charge_id]) for line in self.lines if sums.get(line.charge_id))

    def days(self, clock: EventClock) -> tuple[AccountDay, ...]:
        """Return what was charged and received on each day with a line, and what was open at its end."""
        moves = [(line.at, line.amount_minor, 0) for line in self.lines]
        moves += [(paid.at, 0, paid.amount_minor) for paid in self.settlements]
        rows, left = [], 0
        for _, found in groupby(sorted(moves), key=lambda move: clock.local(move[0]).date()):
            of_day = list(found)
            charged, settled = (sum(move[part] for move in of_day) for part in (1, 2))
            left += charged - settled
            rows.append(AccountDay(at=of_day[0][0], charged_minor=charged, settled_minor=settled, open_minor=left))
        return tuple(rows)


@dataclass(frozen=True, kw_only=True)
class AccountDay:
    """One day of an account, by the event's clock: `at` is its first line; refunds count with their sign."""

    at: datetime
    charged_minor: int
    settled_minor: int
    open_minor: int


def price_rows(session: Session, event: Event) -> list[PriceRow]:
    """Return the price list: general prices first, then those of single strings."""
    found = (
        select(Price, StringType)
        .outerjoin(StringType, StringType.id == Price.string_type_id)
        .where(Price.event_id == event.id)
        .order_by(Price.string_type_id.is_not(None), Price.kind, StringType.name, StringType.code, Price.per)
    )
    return [
        row_of(
            PriceRow,
            price,
            price_id=price.id,
            string_id=price.string_type_id,
            string_name="" if string is None else string_label(string),
            tax_per_cent=per_cent_of(tax_of(event, price)),
        )
        for price, string in session.execute(found)
    ]


def tax_of(event: Event, price: Price) -> int:
    """The tax within a price in hundredths of a per cent: its own, else the event's."""
    return event.tax_basis_points if price.tax_basis_points is None else price.tax_basis_points


def account(session: Session, event: Event, who: Player | Contact) -> Account:
    """Return every charge and payment of a player, or of a contact that pays."""
    holder = Holder.of(who)
    elsewhere = and_(Charge.player_id == holder.player_id, Charge.payer_id.is_not(None))
    charges = (
        select(Charge, Job.code, Player.called, Contact.name)
        .join(Player, Player.id == Charge.player_id)
        .outerjoin(Contact, Contact.id == Charge.payer_id)
        .outerjoin(Job, Job.id == Charge.job_id)
        .where(Charge.event_id == event.id, or_(holder.holds(Charge), elsewhere))
        .order_by(Charge.id)
    )
    payments = select(Settlement).where(Settlement.event_id == event.id, holder.holds(Settlement))
    paid_lines = session.scalars(payments.order_by(Settlement.id)).all()
    taken_back = {paid.takes_back_id for paid in paid_lines}
    lines = [
        (
            row_of(ChargeLine, charge, charge_id=charge.id, player=player, job_code=code or ""),
            charge.payer_id,
            payer or "",
        )
        for charge, code, player, payer in session.execute(charges)
    ]
    return Account(
        holder=holder,
        name=who.called,
        currency=event.currency,
        lines=tuple(line for line, payer_id, _ in lines if payer_id == holder.payer_id),
        elsewhere=tuple((line, payer) for line, payer_id, payer in lines if payer_id != holder.payer_id),
        settlements=tuple(
            row_of(
                SettlementLine,
                paid,
                settlement_id=paid.id,
                is_taken_back=paid.id in taken_back or paid.takes_back_id is not None,
            )
            for paid in paid_lines
        ),
    )


def open_minor(session: Session, event: Event, player_id: int) -> int:
    """Return what a player still owes of what nobody else pays; below zero, what is owed back."""
    return open_of(session, event, Holder(player_id=player_id))
