"""All prices in one grid: what is typed is set, what is emptied is taken off, the rest stays with its tax."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from wtforms.validators import Length

from desk.queries.counter.counter import string_choices
from desk.queries.money.charges import PriceRow
from desk.services.money import prices
from desk.trade.event.money import Money
from desk.web import context
from desk.web.forms import DeskForm, MoneyField

PRICED = {
    ("labour", "job"): "stringing, for a racquet",
    ("on_court", "job"): "on court, on top, for a racquet",
    ("string", "set"): "string, for a set",
    ("string", "metre"): "string, for a metre",
    ("extra_work", "job"): "extra work, for a racquet",
    ("stencil", "job"): "stencil, for a racquet",
}
"""What a price is for, by its kind and what it is counted by."""


class Priced(NamedTuple):
    """What is priced: its kind, what it is counted by, and the id of the one string, 0 for any."""

    kind: str
    per: str
    string_id: int = 0

    @property
    def field(self) -> str:
        return f"price_{self.kind}_{self.per}_{self.string_id}"


class GridRow(NamedTuple):
    """A row of the grid: what it is, and what is priced in it."""

    word: str
    priced: tuple[Priced, ...]


class PriceGrid(DeskForm):
    """A field for each price; `price_grid` adds them."""

    general: Sequence[GridRow] = ()
    strings: Sequence[GridRow] = ()


def price_grid(rows: Sequence[PriceRow], **values: object) -> PriceGrid:
    """Return the grid, filled with the prices that hold."""
    by_string = [(0, "any string"), *string_choices(context.reading(), context.current_event())]
    general = [GridRow(word, (Priced(*key),)) for key, word in PRICED.items() if key[0] != "string"]
    strings = [
        GridRow(word, tuple(Priced("string", per, string_id) for per in prices.STRING_UNITS))
        for string_id, word in by_string
    ]
    holds, currency = _holding(rows), context.head().currency
    fields = {
        one.field: MoneyField(
            PRICED[one[:2]],
            [Length(max=20)],
            default=str(Money(holds[one].amount_minor, currency).major) if one in holds else "",
        )
        for row in (*general, *strings)
        for one in row.priced
    }
    return type("FullPriceGrid", (PriceGrid,), fields | {"general": general, "strings": strings})(**values)


def _holding(rows: Sequence[PriceRow]) -> dict[Priced, PriceRow]:
    return {Priced(row.kind, row.per, row.string_id or 0): row for row in rows}


def keep_prices(session, form: PriceGrid, rows: Sequence[PriceRow]) -> None:
    """Set what was typed otherwise than it holds, and take off what was emptied."""
    holds, event_id, acting = _holding(rows), context.event_id(), context.acting()
    for one in (one for row in (*form.general, *form.strings) for one in row.priced):
        minor, held = form[one.field].minor, holds.get(one)
        if minor is None and held is not None:
            prices.remove_price(session, event_id, held.price_id, acting=acting)
        elif minor is not None and (held is None or held.amount_minor != minor):
            kind, per, string_id = one
            tax = None if held is None else held.tax_basis_points
            asked = prices.PriceForm(
                kind=kind, per=per, string_id=string_id or None, amount_minor=minor, tax_basis_points=tax
            )
            prices.set_price(session, event_id, asked, acting=acting)
