"""What a player owes for a racquet, and what is paid; a line once written is never changed.

Amounts are integer minor units of the event's currency, tax included: `tax_minor` is the part of
the amount that is tax.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Event, Job, JobCard, Player, Price, Reel, ReelEntry
from desk.queries.amounts import amount_text
from desk.queries.store import ROUNDING_M, JobMetres, metres_by_job, string_label
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.form_faults import refuse
from desk.services.of_event import find_of
from desk.services.payments import settle, take_back_settlement
from desk.services.prices import ANY_STRING, remove_price, set_price

__all__ = [
    "add_charge",
    "charge_job",
    "correct_charge",
    "remove_price",
    "set_price",
    "settle",
    "take_back_settlement",
    "undo_charge",
]

WORKS = {"none": (), "grommets": ("Grommets",), "grip": ("Grip",), "grommets_and_grip": ("Grommets", "Grip")}
MOST_MINOR = 100_000_000

PriceKey = tuple[str, int, str]


@dataclass(frozen=True, kw_only=True)
class _Line:
    """A line of a charge before it is written."""

    kind: str
    text: str
    amount_minor: int


def tax_within(amount_minor: int, basis_points: int) -> int:
    """Return the tax within an amount, rounded half away from zero: 1900 basis points of 119.00 is 19.00."""
    size = (2 * abs(amount_minor) * basis_points + 10_000 + basis_points) // (2 * (10_000 + basis_points))
    return size if amount_minor >= 0 else -size


def charge_job(session: Session, event: Event, job: Job, *, acting: Acting) -> list[Charge]:
    """Write the charges of a strung racquet by the price list; call it after its string is booked.

    A redo costs nothing, own string neither. A racquet that is charged already stays as it is.
    """
    if job.redo_of_id is not None or _charged_minor(session, job) != 0:
        return []
    prices = {
        (price.kind, price.string_type_id or ANY_STRING, price.per): price.amount_minor
        for price in session.scalars(select(Price).where(Price.event_id == event.id))
    }
    lines = [*_work_lines(job, prices), *_string_lines(session, event, job, prices)]
    return [_write(session, event, job, line, acting) for line in lines if line.amount_minor]


def _charged_minor(session: Session, job: Job) -> int:
    return session.scalar(select(func.sum(Charge.amount_minor)).where(Charge.job_id == job.id)) or 0


def _work_lines(job: Job, prices: dict[PriceKey, int]) -> Iterator[_Line]:
    def price(kind: str) -> int:
        return prices.get((kind, ANY_STRING, "job"), 0)

    yield _Line(kind="labour", text="Stringing", amount_minor=price("labour"))
    if job.on_court:
        yield _Line(kind="on_court", text="On-court surcharge", amount_minor=price("on_court"))
    for work in WORKS[job.card.extra_work]:
        yield _Line(kind="extra_work", text=work, amount_minor=price("extra_work"))
    if job.card.stencil.strip():
        yield _Line(kind="stencil", text="Stencil", amount_minor=price("stencil"))


def _string_lines(session: Session, event: Event, job: Job, prices: dict[PriceKey, int]) -> Iterator[_Line]:
    card = job.card
    cuts = _desk_parts(session, job)
    metres = metres_by_job(session, event, [job.id]).get(job.id)
    if len(cuts) == 2 and card.mains_string_id == card.crosses_string_id:
        yield _string_line(card, "mains", cuts["mains"], prices, (1, 0.0 if metres is None else metres.total_m))
        return
    for part, kind in cuts.items():
        # A hybrid takes half a set of each string.
        yield _string_line(card, part, kind, prices, (2, _part_m(metres, part)))


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
        return {} if job.card.own_string else {"mains": "reel", "crosses": "reel"}
    return {part: kind for part, kind, owner_id in booked if owner_id is None}


def _part_m(metres: JobMetres | None, part: str) -> float:
    if metres is None:
        return 0.0
    return metres.mains_m if part == "mains" else metres.crosses_m


def _string_line(card: JobCard, part: str, kind: str, prices: dict[PriceKey, int], share: tuple[int, float]) -> _Line:
    string = card.mains_string if part == "mains" else card.crosses_string
    per, price = _string_price(string.id, kind, prices)
    parts_of_set, metres = share
    text = f"String {string_label(string)}"
    if per == "set":
        amount = (2 * price + parts_of_set) // (2 * parts_of_set)
    else:
        amount, text = int(price * metres + 0.5), f"{text}, {metres:g} m"
    return _Line(kind="string", text=text, amount_minor=amount)


def _string_price(string_id: int, reel_kind: str, prices: dict[PriceKey, int]) -> tuple[str, int]:
    """A string's own price before the general one; for a set its set price first, for a reel its metre price."""
    order = ("set", "metre") if reel_kind == "set" else ("metre", "set")
    for whose in (string_id, ANY_STRING):
        for per in order:
            if ("string", whose, per) in prices:
                return per, prices["string", whose, per]
    return "set", 0


def _write(session: Session, event: Event, job: Job, line: _Line, acting: Acting) -> Charge:
    charge = Charge(
        event_id=event.id,
        player_id=job.player_id,
        job_id=job.id,
        kind=line.kind,
        text=line.text,
        amount_minor=line.amount_minor,
        tax_minor=tax_within(line.amount_minor, event.tax_basis_points),
        currency=event.currency,
        at=acting.at,
        by=acting.by,
    )
    session.add(charge)
    session.flush()
    return charge


def undo_charge(session: Session, event: Event, job: Job, *, acting: Acting) -> list[Charge]:
    """Take back what a racquet was charged, each line by a further one."""
    lines = session.scalars(select(Charge).where(Charge.job_id == job.id, Charge.corrects_id.is_(None))).all()
    written = []
    for charge in lines:
        amount, tax = _now(session, charge)
        if amount:
            written.append(_correction(session, charge, (-amount, -tax), f"Taken back: {charge.text}", acting))
    return written


def correct_charge(
    session: Session, event_id: int, charge_id: int, new_minor: int, *, acting: Acting, reason: str
) -> Charge:
    """Bring a charge to another amount by a further line that says why."""
    event = lock_event(session, event_id)
    charge = _own_charge(session, event, charge_id)
    if not 0 <= new_minor <= MOST_MINOR:
        raise BadInput("A charge cannot be below zero.", fields={"amount": "give an amount from 0"})
    if not reason.strip():
        raise BadInput("Say why the charge is corrected.", fields={"reason": "say why"})
    amount, tax = _now(session, charge)
    if new_minor == amount:
        raise Conflict(f"'{charge.text}' stands at that amount already; nothing was changed.")
    change = new_minor - amount
    change_of_tax = tax_within(new_minor, event.tax_basis_points) - tax
    text = f"Correction of {charge.text}: {reason.strip()}"
    written = _correction(session, charge, (change, change_of_tax), text, acting)
    _log(session, event, acting, f"{text}: {amount_text(new_minor, event.currency)}", charge.job_id)
    return written


def _own_charge(session: Session, event: Event, charge_id: int) -> Charge:
    charge = find_of(session, event, Charge, charge_id, "charge")
    if charge.corrects_id is not None:
        charge = session.get_one(Charge, charge.corrects_id)
    return charge


def _now(session: Session, charge: Charge) -> tuple[int, int]:
    """What a charge comes to with its corrections: amount and tax."""
    family = (Charge.id == charge.id) | (Charge.corrects_id == charge.id)
    amount, tax = session.execute(select(func.sum(Charge.amount_minor), func.sum(Charge.tax_minor)).where(family)).one()
    return int(amount), int(tax)


def _correction(session: Session, charge: Charge, change: tuple[int, int], text: str, acting: Acting) -> Charge:
    line = Charge(
        event_id=charge.event_id,
        player_id=charge.player_id,
        job_id=charge.job_id,
        kind=charge.kind,
        text=text,
        amount_minor=change[0],
        tax_minor=change[1],
        currency=charge.currency,
        at=acting.at,
        by=acting.by,
        corrects_id=charge.id,
    )
    session.add(line)
    session.flush()
    return line


def add_charge(
    session: Session, event_id: int, player_id: int, amount_minor: int, *, acting: Acting, text: str
) -> Charge:
    """Charge a player for something that is on no job, such as an overgrip."""
    event = lock_event(session, event_id)
    player = find_of(session, event, Player, player_id, "player")
    faults = {}
    if not text.strip():
        faults["text"] = "say what it is for"
    if not 0 < amount_minor <= MOST_MINOR:
        faults["amount"] = "give an amount above 0"
    refuse(faults, "This charge cannot be written")
    charge = Charge(
        event_id=event.id,
        player_id=player.id,
        kind="other",
        text=text.strip(),
        amount_minor=amount_minor,
        tax_minor=tax_within(amount_minor, event.tax_basis_points),
        currency=event.currency,
        at=acting.at,
        by=acting.by,
    )
    session.add(charge)
    session.flush()
    _log(session, event, acting, f"{player.name} is charged for {charge.text}", None)
    return charge


def _log(session: Session, event: Event, acting: Acting, text: str, job_id: int | None) -> None:
    write_log(session, event, acting, "charges", text, job_id=job_id)
    note_change(event, plan=False)
