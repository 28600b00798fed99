"""The price list of an event."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Price, StringType
from desk.queries.finding import find_of
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import refuse
from desk.trade.event.money import Money

_log = partial(log_change, subject="charges", plan=False)

KINDS = ("labour", "on_court", "string", "extra_work", "stencil")
STRING_UNITS = ("set", "metre")
MOST_MINOR = 100_000_000
MOST_TAX = 10_000
"""A hundred per cent, in hundredths of a per cent."""


@dataclass(frozen=True, kw_only=True)
class PriceForm:
    """One line of the price list: `per` is job, or set or metre for string; without a rate, the event's tax."""

    kind: str
    amount_minor: int
    per: str = "job"
    string_id: int | None = None
    tax_basis_points: int | None = None


def set_price(session: Session, event_id: int, form: PriceForm, *, acting: Acting) -> Price:
    """Set a price; charges that were written before keep theirs."""
    event = lock_event(session, event_id)
    _require_price(form)
    if form.string_id is not None:
        find_of(session, event, StringType, form.string_id, "string")
    price = session.scalar(
        select(Price).where(
            Price.event_id == event.id,
            Price.kind == form.kind,
            Price.per == form.per,
            Price.string_type_id == form.string_id,
        )
    )
    if price is None:
        price = Price(event_id=event.id, kind=form.kind, per=form.per, string_type_id=form.string_id)
        session.add(price)
    price.amount_minor, price.tax_basis_points = form.amount_minor, form.tax_basis_points
    _log(session, event, acting, f"Price of {_what(price)} set to {Money(form.amount_minor, event.currency).display()}")
    return price


def _require_price(form: PriceForm) -> None:
    faults = {}
    units = STRING_UNITS if form.kind == "string" else ("job",)
    if form.kind not in KINDS:
        faults["kind"] = "choose one of: " + ", ".join(KINDS).replace("_", " ")
    elif form.per not in units:
        faults["per"] = f"choose {' or '.join(units)}"
    if form.string_id is not None and form.kind != "string":
        faults["string_id"] = "only a price of string is for one string"
    if not 0 <= form.amount_minor <= MOST_MINOR:
        faults["amount"] = "give an amount from 0"
    if form.tax_basis_points is not None and not 0 <= form.tax_basis_points <= MOST_TAX:
        faults["tax"] = "per cent from 0 to 100"
    refuse(faults, "This price cannot be set")


def remove_price(session: Session, event_id: int, price_id: int, *, acting: Acting) -> None:
    """Take a line from the price list; from then on nothing is charged by it."""
    event, price = lock_and_find(session, event_id, Price, price_id, "price")
    _log(session, event, acting, f"Price of {_what(price)} removed")
    session.delete(price)
    session.flush()


def _what(price: Price) -> str:
    return f"{price.kind.replace('_', ' ')} a {price.per}"
