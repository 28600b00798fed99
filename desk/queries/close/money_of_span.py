"""Money of a span: charged, received, paid back, written off, and what is open, by player, day and rate of tax."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Charge, Event, Player, Settlement
from desk.queries.close.span import UsageSpan
from desk.queries.money.charges import METHODS
from desk.queries.money.invoices import tax_totals
from desk.trade.event.money import Money
from exports import ChargeRow, MoneyRow, PrizeMoneyRow, TaxRow

KINDS = ("labour", "string")


@dataclass(kw_only=True)
class Flow:
    """What came and went in a stretch of time; open carried forward is brought forward and what this adds."""

    brought_minor: int = 0
    charged_minor: int = 0
    tax_minor: int = 0
    received: dict[str, int] = field(default_factory=lambda: dict.fromkeys(METHODS, 0))
    refunded_minor: int = 0
    written_off_minor: int = 0

    @property
    def received_minor(self) -> int:
        return sum(self.received.values())

    @property
    def carried_minor(self) -> int:
        settled = self.received_minor - self.refunded_minor + self.written_off_minor
        return self.brought_minor + self.charged_minor - settled

    def charge(self, charge: Charge) -> None:
        self.charged_minor += charge.amount_minor
        self.tax_minor += charge.tax_minor

    def settle(self, line: Settlement) -> None:
        if line.kind == "payment":
            self.received[line.method] += line.amount_minor
        elif line.kind == "refund":
            self.refunded_minor -= line.amount_minor
        else:
            self.written_off_minor += line.amount_minor


@dataclass(kw_only=True)
class _Account(Flow):
    """The flow of one player, with the charges by kind and by job, and the whole event's until the end."""

    player: str
    by_kind: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    by_job: dict[int, int] = field(default_factory=lambda: defaultdict(int))
    whole: Flow = field(default_factory=Flow)
    has_line: bool = False


@dataclass(frozen=True, kw_only=True)
class Accounts:
    """The money of a span: in all, one row a player, a day, a rate of tax, and what each job was charged."""

    whole: Flow
    rows: tuple[ChargeRow, ...]
    days: tuple[MoneyRow, ...]
    taxes: tuple[TaxRow, ...]
    prize_money: tuple[PrizeMoneyRow, ...]
    by_job: Mapping[int, int]


def read_accounts(session: Session, event: Event, span: UsageSpan, days: Sequence[UsageSpan]) -> Accounts:
    """Return the money of a span and of each of its DAYS, in two statements.

    Raises
    ------
    Conflict
        When a charge or a payment is in another currency than the event: such amounts have no sum.
    """
    charges = session.execute(_until(select(Charge, Player), Charge, event, span)).all()
    paid = session.execute(_until(select(Settlement, Player), Settlement, event, span)).all()
    for line, player in (*charges, *paid):
        _require_currency(event, player.called, line.currency)
    accounts = _by_player(span, charges, paid)
    found = [one for one in accounts if one.has_line or one.carried_minor]
    return Accounts(
        whole=_flow(span, [line for line, _ in charges], [line for line, _ in paid]),
        rows=tuple(_row(event, one) for one in found),
        days=tuple(_money_row(event, day, charges, paid) for day in days),
        taxes=tuple(
            TaxRow(
                rate_pct=float(total.per_cent),
                currency=event.currency,
                net_minor=total.net_minor,
                tax_minor=total.tax_minor,
                gross_minor=total.gross_minor,
            )
            for total in tax_totals(line for line, _ in charges if span.holds(line.at))
        ),
        prize_money=tuple(_prize_money_row(event, one) for one in accounts if _is_for_referee(one)),
        by_job={job_id: minor for one in accounts for job_id, minor in one.by_job.items()},
    )


def _until(found, table: type[Charge] | type[Settlement], event: Event, span: UsageSpan):
    return (
        found.join(Player, Player.id == table.player_id)
        .where(table.event_id == event.id, span.until(table.at))
        .order_by(Player.search_name, Player.id, table.id)
    )


def _by_player(span: UsageSpan, charges: Iterable, paid: Iterable) -> list[_Account]:
    accounts: dict[int, tuple[str, _Account]] = {}

    def of(player: Player) -> _Account:
        return accounts.setdefault(player.id, (player.search_name, _Account(player=player.called)))[1]

    for line, player in charges:
        account = of(player)
        account.whole.charge(line)
        if not span.is_begun_by(line.at):
            account.brought_minor += line.amount_minor
            continue
        account.charge(line)
        account.has_line = True
        account.by_kind[line.kind if line.kind in KINDS else "other"] += line.amount_minor
        if line.job_id is not None:
            account.by_job[line.job_id] += line.amount_minor
    for line, player in paid:
        account = of(player)
        account.whole.settle(line)
        if not span.is_begun_by(line.at):
            account.brought_minor -= line.amount_minor
            continue
        account.settle(line)
        account.has_line = True
    return [account for _, (_, account) in sorted(accounts.items(), key=lambda pair: (pair[1][0], pair[0]))]


def _flow(span: UsageSpan, charges: Iterable[Charge], paid: Iterable[Settlement]) -> Flow:
    flow = Flow()
    for charge in charges:
        if not span.is_begun_by(charge.at):
            flow.brought_minor += charge.amount_minor
        elif span.is_known(charge.at):
            flow.charge(charge)
    for line in paid:
        if not span.is_begun_by(line.at):
            flow.brought_minor -= line.amount_minor
        elif span.is_known(line.at):
            flow.settle(line)
    return flow


def _require_currency(event: Event, player: str, currency: str) -> None:
    if currency != event.currency:
        raise Conflict(
            f"The account of {player} holds an amount in {currency}, but {event.name} is in {event.currency}. "
            "Amounts in two currencies have no sum: take that line back and charge it again."
        )


def _money_row(event: Event, day: UsageSpan, charges: Sequence, paid: Sequence) -> MoneyRow:
    flow = _flow(day, [line for line, _ in charges], [line for line, _ in paid])
    return MoneyRow(
        day=day.dates[0],
        currency=event.currency,
        brought_forward_minor=flow.brought_minor,
        charged_minor=flow.charged_minor,
        tax_minor=flow.tax_minor,
        **{f"{method}_minor": flow.received[method] for method in METHODS},
        refunded_minor=flow.refunded_minor,
        written_off_minor=flow.written_off_minor,
        carried_forward_minor=flow.carried_minor,
    )


def _row(event: Event, one: _Account) -> ChargeRow:
    return ChargeRow(
        player=one.player,
        racquets=sum(minor != 0 for minor in one.by_job.values()),
        currency=event.currency,
        brought_forward_minor=one.brought_minor,
        labour_minor=one.by_kind.get("labour", 0),
        string_minor=one.by_kind.get("string", 0),
        other_minor=one.by_kind.get("other", 0),
        tax_minor=one.tax_minor,
        received_minor=one.received_minor,
        refunded_minor=one.refunded_minor,
        written_off_minor=one.written_off_minor,
        carried_forward_minor=one.carried_minor,
        note=_received_words(event, one),
    )


def _received_words(event: Event, one: _Account) -> str:
    parts = [
        f"{word} {Money(one.received[method], event.currency).display()}"
        for method, word in METHODS.items()
        if one.received[method]
    ]
    return f"received {', '.join(parts)}" if parts else ""


def _is_for_referee(one: _Account) -> bool:
    return one.carried_minor > 0 or one.whole.received["prize_money"] != 0


def _prize_money_row(event: Event, one: _Account) -> PrizeMoneyRow:
    booked = one.whole.received["prize_money"]
    return PrizeMoneyRow(
        player=one.player,
        currency=event.currency,
        charged_minor=one.whole.charged_minor,
        otherwise_minor=one.whole.charged_minor - booked - one.carried_minor,
        booked_minor=booked,
        open_minor=max(one.carried_minor, 0),
    )
