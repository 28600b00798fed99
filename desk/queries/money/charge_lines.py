"""The lines that one strung racquet is charged by, from the price list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Job, Price, Reel, ReelEntry, StringType
from desk.queries.money.charges import tax_of
from desk.queries.money.invoices import TaxTotal, by_rate
from desk.queries.string.lengths import NO_METRES, CardLike, event_factors, metres_by_job, need_of
from desk.queries.string.store import string_label
from desk.trade.event.money import Money, per_cent_of, tax_within
from desk.trade.racquet.bed import Bed, Half
from desk.trade.racquet.reel_choice import ROUNDING_M, SETS
from desk.trade.racquet.string_length import Metres

ANY_STRING = 0
"""Stands for any string where a price names none."""

WHOLE, HALF = Decimal(1), Decimal("0.5")

PriceKey = tuple[str, int, str]


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line of a charge before it is written."""

    kind: str
    text: str
    amount_minor: int
    tax_basis_points: int


@dataclass(frozen=True)
class _Rate:
    """What a line of the price list asks, and the tax within it in hundredths of a per cent."""

    amount_minor: int
    tax_basis_points: int

    @classmethod
    def of(cls, price: Price, event: Event) -> _Rate:
        return cls(price.amount_minor, tax_of(event, price))


FREE = _Rate(0, 0)
Prices = dict[PriceKey, _Rate]


@dataclass(frozen=True, kw_only=True)
class _Takes:
    """Desk string in a racquet: from a reel or a set, how much of a set, and metres."""

    string: StringType
    kind: str
    of_set: Decimal
    metres: float


def tax_of_lines(event: Event, lines: Iterable[Line]) -> tuple[TaxTotal, ...]:
    """Return what lines that are not written yet come to by rate of tax, each rounded as it will be."""

    def tax(line: Line) -> int:
        return tax_within(Money(line.amount_minor, event.currency), per_cent_of(line.tax_basis_points)).tax.minor

    return by_rate((line.tax_basis_points, line.amount_minor, tax(line)) for line in lines)


class AskedCard(CardLike, Protocol):
    """What of a card, stored or only asked for, decides what a racquet costs."""

    stencil: str
    extra_work: str


def lines_of(session: Session, event: Event, job: Job, *, expected: Metres = NO_METRES) -> list[Line]:
    """Return what a racquet costs, without lines of 0: by the string booked for it, before that as EXPECTED."""
    prices, card = _price_list(session, event), job.card
    metres = metres_by_job(session, event, [job.id]).get(job.id) or expected
    string = _string_lines(event, card, card.strings, _desk_parts(session, job), prices, metres)
    return [line for line in (*_work_lines(card, prices, on_court=job.on_court), *string) if line.amount_minor]


def lines_asked(session: Session, event: Event, card: AskedCard, frame: Frame, *, on_court: bool = False) -> list[Line]:
    """Return what a racquet that is not dropped off yet will cost: its string computed from the frame, off a reel."""
    prices = _price_list(session, event)
    need = need_of(card, frame, player_id=0, factors=event_factors(session, event))
    strings = card.bed.map(lambda half: session.get_one(StringType, half.string_id))
    metres = Metres(need.bed.mains.metres, need.bed.crosses.metres)
    string = _string_lines(event, card, strings, _parts_on_card(card), prices, metres)
    return [line for line in (*_work_lines(card, prices, on_court=on_court), *string) if line.amount_minor]


def _price_list(session: Session, event: Event) -> Prices:
    return {
        (price.kind, price.string_type_id or ANY_STRING, price.per): _Rate.of(price, event)
        for price in session.scalars(select(Price).where(Price.event_id == event.id))
    }


def _work_lines(card: AskedCard, prices: Prices, *, on_court: bool) -> Iterator[Line]:
    def line(kind: str, text: str) -> Line:
        rate = prices.get((kind, ANY_STRING, "job"), FREE)
        return Line(kind=kind, text=text, amount_minor=rate.amount_minor, tax_basis_points=rate.tax_basis_points)

    yield line("labour", "Stringing")
    if on_court:
        yield line("on_court", "On-court surcharge")
    for work in card.extra_work.removeprefix("none").split("_and_"):
        if work:
            yield line("extra_work", work.capitalize())
    if card.stencil.strip():
        yield line("stencil", "Stencil")


def _string_lines(
    event: Event, card: AskedCard, strings: Bed[StringType], cuts: dict[Half, str], prices: Prices, metres: Metres
) -> Iterator[Line]:
    if len(cuts) == 2 and not card.bed.is_hybrid:
        takes = [_Takes(string=strings.mains, kind=cuts["mains"], of_set=WHOLE, metres=metres.total_m)]
    else:
        # A hybrid takes half a set of each string, and a half that is the player's own costs nothing.
        takes = [
            _Takes(string=strings[half], kind=kind, of_set=HALF, metres=metres[half]) for half, kind in cuts.items()
        ]
    for one in takes:
        yield _string_line(event, one, prices)


def _desk_parts(session: Session, job: Job) -> dict[Half, str]:
    """Parts strung with the desk's string, with the kind of reel; by the card where nothing is booked."""
    found = (
        select(ReelEntry.part, Reel.kind, Reel.owner_id)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(ReelEntry.job_id == job.id, ReelEntry.kind == "use")
        .group_by(ReelEntry.part, Reel.kind, Reel.owner_id)
        .having(func.sum(ReelEntry.metres) < -ROUNDING_M)
        .order_by(ReelEntry.part.desc())
    )
    booked = session.execute(found).all()
    if not booked:
        return _parts_on_card(job.card)
    return {part: kind for part, kind, owner_id in booked if owner_id is None}


def _parts_on_card(card: AskedCard) -> dict[Half, str]:
    return {part: "reel" for part, half in card.bed.items() if not half.own}


def _string_line(event: Event, takes: _Takes, prices: Prices) -> Line:
    per, rate = _string_price(takes.string.id, takes.kind, prices)
    text, times = f"String {string_label(takes.string)}", takes.of_set
    if per == "metre":
        text, times = f"{text}, {takes.metres:g} m", Decimal(str(takes.metres))
    minor = Money(rate.amount_minor, event.currency).times(times).minor
    return Line(kind="string", text=text, amount_minor=minor, tax_basis_points=rate.tax_basis_points)


def _string_price(string_id: int, reel_kind: str, prices: Prices) -> tuple[str, _Rate]:
    """A string's own price before the general one; for a set its set price first, for a reel its metre price."""
    order = ("set", "metre") if reel_kind in SETS else ("metre", "set")
    for whose in (string_id, ANY_STRING):
        for per in order:
            if ("string", whose, per) in prices:
                return per, prices["string", whose, per]
    return "set", FREE
