"""The lines that one strung racquet is charged by, from the price list."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Price, Reel, ReelEntry, StringType
from desk.queries.string.store import ROUNDING_M, JobMetres, metres_by_job, string_label
from desk.services.money.prices import ANY_STRING
from desk.trade.money import Money

WORKS = {"none": (), "grommets": ("Grommets",), "grip": ("Grip",), "grommets_and_grip": ("Grommets", "Grip")}

WHOLE, HALF = Decimal(1), Decimal("0.5")
NOTHING = JobMetres(mains_m=0.0, crosses_m=0.0, measured=False)

PriceKey = tuple[str, int, str]


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line of a charge before it is written."""

    kind: str
    text: str
    amount_minor: int


@dataclass(frozen=True, kw_only=True)
class _Takes:
    """Desk string in a racquet: from a reel or a set, how much of a set, and metres."""

    string: StringType
    kind: str
    of_set: Decimal
    metres: float


def lines_of(session: Session, event: Event, job: Job) -> list[Line]:
    """Return what a racquet costs, without lines of nothing; its string must be booked before."""
    prices = {
        (price.kind, price.string_type_id or ANY_STRING, price.per): price.amount_minor
        for price in session.scalars(select(Price).where(Price.event_id == event.id))
    }
    lines = [*_work_lines(job, prices), *_string_lines(session, event, job, prices)]
    return [line for line in lines if line.amount_minor]


def _work_lines(job: Job, prices: dict[PriceKey, int]) -> Iterator[Line]:
    def price(kind: str) -> int:
        return prices.get((kind, ANY_STRING, "job"), 0)

    yield Line(kind="labour", text="Stringing", amount_minor=price("labour"))
    if job.on_court:
        yield Line(kind="on_court", text="On-court surcharge", amount_minor=price("on_court"))
    for work in WORKS[job.card.extra_work]:
        yield Line(kind="extra_work", text=work, amount_minor=price("extra_work"))
    if job.card.stencil.strip():
        yield Line(kind="stencil", text="Stencil", amount_minor=price("stencil"))


def _string_lines(session: Session, event: Event, job: Job, prices: dict[PriceKey, int]) -> Iterator[Line]:
    card, cuts = job.card, _desk_parts(session, job)
    metres = metres_by_job(session, event, [job.id]).get(job.id) or NOTHING
    if len(cuts) == 2 and card.mains_string_id == card.crosses_string_id:
        takes = [_Takes(string=card.mains_string, kind=cuts["mains"], of_set=WHOLE, metres=metres.total_m)]
    else:
        # A hybrid takes half a set of each string, and a half that is the player's own costs nothing.
        of_part = {"mains": (card.mains_string, metres.mains_m), "crosses": (card.crosses_string, metres.crosses_m)}
        takes = [
            _Takes(string=of_part[part][0], kind=kind, of_set=HALF, metres=of_part[part][1])
            for part, kind in cuts.items()
        ]
    for one in takes:
        yield _string_line(event, one, prices)


def _desk_parts(session: Session, job: Job) -> dict[str, str]:
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
        own = {"mains": job.card.own_mains, "crosses": job.card.own_crosses}
        return {part: "reel" for part, is_own in own.items() if not is_own}
    return {part: kind for part, kind, owner_id in booked if owner_id is None}


def _string_line(event: Event, takes: _Takes, prices: dict[PriceKey, int]) -> Line:
    per, price = _string_price(takes.string.id, takes.kind, prices)
    text, times = f"String {string_label(takes.string)}", takes.of_set
    if per == "metre":
        text, times = f"{text}, {takes.metres:g} m", Decimal(str(takes.metres))
    return Line(kind="string", text=text, amount_minor=Money(price, event.currency).times(times).minor)


def _string_price(string_id: int, reel_kind: str, prices: dict[PriceKey, int]) -> tuple[str, int]:
    """A string's own price before the general one; for a set its set price first, for a reel its metre price."""
    order = ("set", "metre") if reel_kind == "set" else ("metre", "set")
    for whose in (string_id, ANY_STRING):
        for per in order:
            if ("string", whose, per) in prices:
                return per, prices["string", whose, per]
    return "set", 0
