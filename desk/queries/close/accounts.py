"""Charges of a span by player, and what of them is paid."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Charge, Event, Player, Settlement
from desk.queries.close.span import UsageSpan
from desk.queries.money.charges import METHODS
from desk.trade.money import exponent
from exports import ChargeRow

KINDS = ("labour", "string")


@dataclass(kw_only=True)
class _Account:
    """One player: charged in the span by kind and by job, before it, and paid by its end."""

    player: str
    by_kind: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    by_job: dict[int, int] = field(default_factory=lambda: defaultdict(int))
    earlier_minor: int = 0
    paid_minor: int = 0
    received: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    @property
    def charged_minor(self) -> int:
        return sum(self.by_kind.values())

    @property
    def paid_of_these_minor(self) -> int:
        """What of the charges in the span is paid: payments settle the oldest charges first."""
        charged, left = self.charged_minor, self.paid_minor - self.earlier_minor
        return min(max(left, min(0, charged)), max(0, charged))


@dataclass(frozen=True, kw_only=True)
class Accounts:
    """The charges of a span: one row a player, and what each job was charged."""

    rows: tuple[ChargeRow, ...]
    by_job: Mapping[int, int]
    charged_minor: int
    paid_minor: int
    received_minor: int


def read_accounts(session: Session, event: Event, span: UsageSpan) -> Accounts:
    """Return what was charged in a span and what of it was paid by its end, in two statements.

    Raises
    ------
    Conflict
        When a charge or a payment is in another currency than the event: such amounts have no sum.
    """
    players: dict[int, _Account] = {}
    for row in session.execute(_charges(event, span)):
        _require_currency(event, row.name, row.currency)
        account = players.setdefault(row.player_id, _Account(player=row.name))
        if row.earlier:
            account.earlier_minor += row.minor
        else:
            account.by_kind[row.kind if row.kind in KINDS else "other"] += row.minor
            if row.job_id is not None:
                account.by_job[row.job_id] += row.minor
    for row in session.execute(_payments(event, span)):
        _require_currency(event, row.name, row.currency)
        account = players.setdefault(row.player_id, _Account(player=row.name))
        account.paid_minor += row.minor
        if not row.earlier:
            account.received[row.method] += row.minor
    return _accounts(event, players.values())


def _charges(event: Event, span: UsageSpan):
    earlier = case((span.since(Charge.at), 0), else_=1).label("earlier")
    columns = (Charge.player_id, Charge.job_id, Charge.kind, Charge.currency)
    return (
        select(*columns, Player.name, earlier, func.sum(Charge.amount_minor).label("minor"))
        .join(Player, Player.id == Charge.player_id)
        .where(Charge.event_id == event.id, span.until(Charge.at))
        .group_by(*columns, Player.name, Player.search_name, "earlier")
        .order_by(Player.search_name, Charge.player_id)
    )


def _payments(event: Event, span: UsageSpan):
    earlier = case((span.since(Settlement.at), 0), else_=1).label("earlier")
    columns = (Settlement.player_id, Settlement.method, Settlement.currency)
    return (
        select(*columns, Player.name, earlier, func.sum(Settlement.amount_minor).label("minor"))
        .join(Player, Player.id == Settlement.player_id)
        .where(Settlement.event_id == event.id, span.until(Settlement.at))
        .group_by(*columns, Player.name, Player.search_name, "earlier")
        .order_by(Player.search_name, Settlement.player_id)
    )


def _require_currency(event: Event, player: str, currency: str) -> None:
    if currency != event.currency:
        raise Conflict(
            f"The account of {player} holds an amount in {currency}, but {event.name} is in {event.currency}. "
            "Amounts in two currencies have no sum: take that line back and charge it again."
        )


def _accounts(event: Event, players: Iterable[_Account]) -> Accounts:
    found = [one for one in players if one.by_kind or any(one.received.values())]
    by_job = {job_id: minor for one in found for job_id, minor in one.by_job.items()}
    rows = tuple(_row(event, one) for one in found)
    return Accounts(
        rows=rows,
        by_job=by_job,
        charged_minor=sum(one.charged_minor for one in found),
        paid_minor=sum(row.paid_minor for row in rows),
        received_minor=sum(sum(one.received.values()) for one in found),
    )


def _row(event: Event, one: _Account) -> ChargeRow:
    return ChargeRow(
        player=one.player,
        racquets=sum(minor != 0 for minor in one.by_job.values()),
        currency=event.currency,
        labour_minor=one.by_kind.get("labour", 0),
        string_minor=one.by_kind.get("string", 0),
        other_minor=one.by_kind.get("other", 0),
        paid_minor=one.paid_of_these_minor,
        note=_received_words(event, one),
    )


def _received_words(event: Event, one: _Account) -> str:
    """What came in during the span, whichever charges it settled."""
    digits = exponent(event.currency)
    parts = [
        f"{method.replace('_', ' ')} {one.received[method] / 10**digits:,.{digits}f}"
        for method in METHODS
        if one.received.get(method)
    ]
    return f"received {', '.join(parts)}" if parts else ""
