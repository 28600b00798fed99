"""Money of a span: charged, received, paid back, written off, and what is open, by payer, day and rate of tax."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Charge, Contact, Event, Player, Settlement
from desk.queries.close.span import UsageSpan
from desk.queries.money.charges import METHODS
from desk.queries.money.invoices import tax_totals
from desk.queries.row_making import row_of
from desk.trade.contacts import KINDS as KINDS_OF_CONTACT
from desk.trade.event.money import Money
from exports.rows.money import ChargeRow, MoneyRow, PrizeMoneyRow, TaxRow

KINDS = ("labour", "string")
PLAYER = "player"


@dataclass(kw_only=True)
class Flow:
    """What came and went in a stretch of time; open carried forward is brought forward and what this adds."""

    brought_forward_minor: int = 0
    charged_minor: int = 0
    tax_minor: int = 0
    received: dict[str, int] = field(default_factory=lambda: dict.fromkeys(METHODS, 0))
    refunded_minor: int = 0
    written_off_minor: int = 0

    @property
    def received_minor(self) -> int:
        return sum(self.received.values())

    @property
    def carried_forward_minor(self) -> int:
        settled = self.received_minor - self.refunded_minor + self.written_off_minor
        return self.brought_forward_minor + self.charged_minor - settled

    def charge(self, charge: Charge, *, before: bool = False) -> None:
        """Count a charge; one from BEFORE the stretch is only brought forward."""
        if before:
            self.brought_forward_minor += charge.amount_minor
        else:
            self.charged_minor += charge.amount_minor
            self.tax_minor += charge.tax_minor

    def settle(self, line: Settlement, *, before: bool = False) -> None:
        """Count a payment, refund or write-off; one from BEFORE the stretch is only brought forward."""
        if before:
            self.brought_forward_minor -= line.amount_minor
        elif line.kind == "payment":
            self.received[line.method] += line.amount_minor
        elif line.kind == "refund":
            self.refunded_minor -= line.amount_minor
        else:
            self.written_off_minor += line.amount_minor


@dataclass(kw_only=True)
class _Account(Flow):
    """The flow of one payer, with the charges by kind and by job, and the whole event's until the end.

    `booked_minor` is what the prize money pays for this player.
    """

    payer: str
    stands_as: str = PLAYER
    booked_minor: int = 0
    by_kind: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    by_job: dict[int, int] = field(default_factory=lambda: defaultdict(int))
    whole: Flow = field(default_factory=Flow)
    has_line: bool = False

    def charge(self, charge: Charge, *, before: bool = False) -> None:
        super().charge(charge, before=before)
        self.whole.charge(charge)
        if not before:
            self.has_line = True
            self.by_kind[charge.kind if charge.kind in KINDS else "other"] += charge.amount_minor
            if charge.job_id is not None:
                self.by_job[charge.job_id] += charge.amount_minor

    def settle(self, line: Settlement, *, before: bool = False) -> None:
        super().settle(line, before=before)
        self.whole.settle(line)
        self.has_line |= not before


@dataclass(frozen=True, kw_only=True)
class Accounts:
    """The money of a span: in all, one row a payer, a day, a rate of tax, and what each job was charged."""

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
    charges = session.execute(_until(Charge, event, span)).all()
    paid = session.execute(_until(Settlement, event, span)).all()
    for line, *who in (*charges, *paid):
        _require_currency(event, _named(*who).called, line.currency)
    accounts = _by_payer(span, charges, paid)
    found = [one for one in accounts if one.has_line or one.carried_forward_minor]
    return Accounts(
        whole=_flow(span, [row[0] for row in charges], [row[0] for row in paid]),
        rows=tuple(_row(event, one) for one in found),
        days=tuple(row for day in days for row in _money_rows(event, day, charges, paid)),
        taxes=tuple(
            row_of(TaxRow, total, rate_pct=float(total.per_cent), currency=event.currency)
            for total in tax_totals(row[0] for row in charges if span.holds(row[0].at))
        ),
        prize_money=tuple(_prize_money_row(event, one) for one in accounts if _is_for_referee(one)),
        by_job=_by_job(accounts),
    )


def _by_job(accounts: Iterable[_Account]) -> dict[int, int]:
    sums: Counter[int] = Counter()
    for one in accounts:
        sums.update(one.by_job)
    return sums


def _until(table: type[Charge] | type[Settlement], event: Event, span: UsageSpan):
    return (
        select(table, Player, Contact)
        .outerjoin(Player, Player.id == table.player_id)
        .outerjoin(Contact, Contact.id == table.payer_id)
        .where(table.event_id == event.id, span.until(table.at))
        .order_by(Player.search_name, Player.id, table.id)
    )


def _named(player: Player | None, payer: Contact | None) -> Player | Contact:
    """Return who pays: the player unless a contact is named."""
    who = payer or player
    assert who is not None, "a line names a player or a payer"
    return who


def _by_payer(span: UsageSpan, charges: Iterable, paid: Iterable) -> list[_Account]:
    """Return the accounts, the players' first, each kind by name."""
    accounts: dict[tuple, _Account] = {}

    def of(who: Player | Contact) -> _Account:
        stands_as = KINDS_OF_CONTACT[who.kind] if isinstance(who, Contact) else PLAYER
        key = (stands_as != PLAYER, who.search_name, who.id)
        return accounts.setdefault(key, _Account(payer=who.called, stands_as=stands_as))

    for line, player, payer in charges:
        account = of(_named(player, payer))
        if payer is not None and payer.kind == "prize_money":
            of(player).booked_minor += line.amount_minor
        account.charge(line, before=not span.is_begun_by(line.at))
    for line, player, payer in paid:
        of(_named(player, payer)).settle(line, before=not span.is_begun_by(line.at))
    return [accounts[key] for key in sorted(accounts)]


def _flow(span: UsageSpan, charges: Iterable[Charge], paid: Iterable[Settlement]) -> Flow:
    flow = Flow()
    for lines, count in ((charges, flow.charge), (paid, flow.settle)):
        for line in lines:
            before = not span.is_begun_by(line.at)
            if before or span.is_known(line.at):
                count(line, before=before)
    return flow


def _require_currency(event: Event, who: str, currency: str) -> None:
    if currency != event.currency:
        raise Conflict(
            f"The account of {who} holds an amount in {currency}, but {event.name} is in {event.currency}. "
            "Amounts in two currencies have no sum: take that line back and charge it again."
        )


def _money_rows(event: Event, day: UsageSpan, charges: Sequence, paid: Sequence) -> Iterator[MoneyRow]:
    """The row of a day; of the time after the last day only where a line came."""
    if day.days or any(day.holds(row[0].at) for row in (*charges, *paid)):
        flow = _flow(day, [row[0] for row in charges], [row[0] for row in paid])
        by_method = {f"{method}_minor": flow.received[method] for method in METHODS}
        yield row_of(MoneyRow, flow, day=day.day, currency=event.currency, **by_method)


def _row(event: Event, one: _Account) -> ChargeRow:
    return row_of(
        ChargeRow,
        one,
        racquets=sum(minor != 0 for minor in one.by_job.values()),
        currency=event.currency,
        **{f"{kind}_minor": one.by_kind.get(kind, 0) for kind in (*KINDS, "other")},
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
    booked = one.booked_minor or one.whole.received["prize_money"]
    return one.stands_as == PLAYER and (one.carried_forward_minor > 0 or booked != 0)


def _prize_money_row(event: Event, one: _Account) -> PrizeMoneyRow:
    booked = one.whole.received["prize_money"] + one.booked_minor
    charged = one.whole.charged_minor + one.booked_minor
    return PrizeMoneyRow(
        player=one.payer,
        currency=event.currency,
        charged_minor=charged,
        otherwise_minor=charged - booked - one.carried_forward_minor,
        booked_minor=booked,
        open_minor=max(one.carried_forward_minor, 0),
    )
