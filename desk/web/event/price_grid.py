"""All prices in one grid: what is typed is set, what is emptied is taken off, the rest stays with its tax."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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

Key = tuple[str, str, int]
"""What is priced: its kind, what it is counted by, and the id of the one string, 0 for any."""


@dataclass(frozen=True, kw_only=True)
class GridRow:
    """A row of the grid: what it is, and the names of its fields."""

    word: str
    fields: tuple[str, ...]


class PriceGrid(DeskForm):
    """A field for each price; `price_grid` adds them."""

    general: tuple[GridRow, ...] = ()
    strings: tuple[GridRow, ...] = ()


def price_grid(rows: Sequence[PriceRow], **values: object) -> PriceGrid:
    """Return the grid, filled with the prices that hold."""
    strings = string_choices(context.reading(), context.current_event())
    keys: list[Key] = [(kind, per, 0) for kind, per in PRICED]
    keys += [("string", per, string_id) for string_id, _ in strings for per in prices.STRING_UNITS]
    holds = {_key(row): row for row in rows}
    currency = context.head().currency
    fields = {
        _name(key): MoneyField(
            PRICED[key[:2]],
            [Length(max=20)],
            default=str(Money(holds[key].amount_minor, currency).major) if key in holds else "",
        )
        for key in keys
    }
    one = tuple(GridRow(word=word, fields=(_name((*key, 0)),)) for key, word in PRICED.items() if key[0] != "string")
    by_string = [(0, "any string"), *strings]
    each = tuple(
        GridRow(word=word, fields=tuple(_name(("string", per, string_id)) for per in prices.STRING_UNITS))
        for string_id, word in by_string
    )
    return type("FullPriceGrid", (PriceGrid,), fields | {"general": one, "strings": each})(**values)


def _key(row: PriceRow) -> Key:
    return row.kind, row.per, row.string_id or 0


def _name(key: Key) -> str:
    kind, per, string_id = key
    return f"price_{kind}_{per}_{string_id}"


def keep_prices(session, form: PriceGrid, rows: Sequence[PriceRow]) -> None:
    """Set what was typed otherwise than it holds, and take off what was emptied."""
    holds = {_key(row): row for row in rows}
    event_id, acting = context.event_id(), context.acting()
    for name, field in form._fields.items():
        if not isinstance(field, MoneyField):
            continue
        kind, per, string_id = name.removeprefix("price_").rsplit("_", 2)
        row = holds.get((kind, per, int(string_id)))
        if field.minor is None and row is not None:
            prices.remove_price(session, event_id, row.price_id, acting=acting)
        elif field.minor is not None and (row is None or row.amount_minor != field.minor):
            tax = None if row is None else row.tax_basis_points
            asked = prices.PriceForm(
                kind=kind, per=per, string_id=int(string_id) or None, amount_minor=field.minor, tax_basis_points=tax
            )
            prices.set_price(session, event_id, asked, acting=acting)
