"""Charges and payments by player: for the usage sheet and the referee's office."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Label, Select, case, func, select, union
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event, Player, Settlement
from desk.queries.money.charges import METHODS

PAID = (*METHODS, "refunded", "written_off")


@dataclass(frozen=True, kw_only=True)
class PlayerTotal:
    """Charges and payments of one player, for the referee's office.

    What a federation or another contact pays is left out; what the prize money pays by rule or by hand is charged
    to the player and booked to prize money.
    """

    player_id: int
    player_code: str
    player_name: str
    currency: str
    racquets: int
    labour_minor: int
    string_minor: int
    other_minor: int
    tax_minor: int
    cash_minor: int
    card_minor: int
    transfer_minor: int
    prize_money_minor: int
    federation_minor: int
    refunded_minor: int
    written_off_minor: int

    @property
    def charged_minor(self) -> int:
        return self.labour_minor + self.string_minor + self.other_minor

    @property
    def paid_minor(self) -> int:
        return sum(getattr(self, f"{method}_minor") for method in METHODS)

    @property
    def open_minor(self) -> int:
        return self.charged_minor - self.paid_minor + self.refunded_minor - self.written_off_minor


def player_totals(session: Session, event: Event) -> list[PlayerTotal]:
    """Return every player with a charge or a payment, by name."""
    charged = {row.player_id: row for row in session.execute(_charged(event))}
    paid = {row.player_id: row for row in session.execute(_paid(event))}
    counted = _racquets(event).subquery()
    racquets = dict(
        session.execute(
            select(counted.c.player_id, func.count()).where(counted.c.amount != 0).group_by(counted.c.player_id)
        ).all()
    )
    with_line = (select(table.player_id).where(table.event_id == event.id) for table in (Charge, Settlement))
    players = (
        select(Player)
        .where(Player.event_id == event.id, Player.id.in_(union(*with_line)))
        .order_by(Player.search_name, Player.code)
    )
    return [
        PlayerTotal(
            player_id=player.id,
            player_code=player.code,
            player_name=player.called,
            currency=event.currency,
            racquets=racquets.get(player.id, 0),
            **_amounts(charged.get(player.id), ("labour", "string", "other", "tax")),
            **_with_booked(_amounts(paid.get(player.id), PAID), charged.get(player.id)),
        )
        for player in session.scalars(players)
        if player.id in charged or player.id in paid
    ]


def _amounts(row: object, names: tuple[str, ...]) -> dict[str, int]:
    return {f"{name}_minor": 0 if row is None else int(getattr(row, name)) for name in names}


def _with_booked(amounts: dict[str, int], charged: object) -> dict[str, int]:
    """Count what the prize money pays as booked to it."""
    booked = _amounts(charged, ("booked",))["booked_minor"]
    return amounts | {"prize_money_minor": amounts["prize_money_minor"] + booked}


def _of_player(event: Event) -> ColumnElement[bool]:
    """Return the condition that a charge is the player's own, or is kept from the prize money."""
    kept = select(Contact.id).where(Contact.event_id == event.id, Contact.kind == "prize_money")
    return Charge.payer_id.is_(None) | Charge.payer_id.in_(kept)


def _charged(event: Event) -> Select[tuple[int, int, int, int, int, int]]:
    def total(when: object) -> object:
        return func.sum(case((when, Charge.amount_minor), else_=0))

    return (
        select(
            Charge.player_id,
            total(Charge.kind == "labour").label("labour"),
            total(Charge.kind == "string").label("string"),
            total(Charge.kind.not_in(("labour", "string"))).label("other"),
            func.sum(Charge.tax_minor).label("tax"),
            total(Charge.payer_id.is_not(None)).label("booked"),
        )
        .where(Charge.event_id == event.id, _of_player(event))
        .group_by(Charge.player_id)
    )


def _paid(event: Event) -> Select[tuple[int, int, int, int]]:
    def total(when: ColumnElement[bool], amount: ColumnElement[int], name: str) -> Label[int]:
        return func.sum(case((when, amount), else_=0)).label(name)

    amount = Settlement.amount_minor
    totals = [
        total((Settlement.kind == "payment") & (Settlement.method == method), amount, method) for method in METHODS
    ]
    totals.append(total(Settlement.kind == "refund", -amount, "refunded"))
    totals.append(total(Settlement.kind == "write_off", amount, "written_off"))
    of_players = (Settlement.event_id == event.id) & Settlement.payer_id.is_(None)
    return select(Settlement.player_id, *totals).where(of_players).group_by(Settlement.player_id)


def _racquets(event: Event) -> Select[tuple[int, int, int]]:
    # A racquet whose charge was taken back whole is none.
    return (
        select(Charge.player_id, Charge.job_id, func.sum(Charge.amount_minor).label("amount"))
        .where(Charge.event_id == event.id, Charge.job_id.is_not(None), _of_player(event))
        .group_by(Charge.player_id, Charge.job_id)
    )
