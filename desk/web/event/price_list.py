"""Settings of money: the price list, all of it in one grid, or one price with a tax of its own."""

from __future__ import annotations

from flask import flash, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField
from wtforms.validators import InputRequired, Length, Optional

from desk.queries.counter.counter import string_choices
from desk.queries.money.charges import price_rows
from desk.services.money import prices
from desk.trade.event.money import per_cent_of
from desk.web import context
from desk.web.event.price_grid import PRICED, keep_prices, price_grid
from desk.web.event.setting_fields import PerCentField
from desk.web.event.settings import blueprint
from desk.web.forms import DeskForm, MoneyField, options, saved, saving, see, show


class PriceFields(DeskForm):
    what = SelectField("Price of", choices=options((" ".join(key), word) for key, word in PRICED.items()))
    string_id = SelectField("Which string", coerce=int)
    amount = MoneyField("Amount", [InputRequired("give the amount"), Length(max=20)])
    tax = PerCentField("Tax within it, per cent", [Optional()])

    def price(self) -> prices.PriceForm:
        tax = None if self.tax.data is None else int(self.tax.data)
        kind, _, per = (self.what.data or "").partition(" ")
        return prices.PriceForm(
            kind=kind,
            per=per,
            string_id=self.string_id.data or None,
            amount_minor=self.amount.minor or 0,
            tax_basis_points=tax,
        )


def prices_page(form: PriceFields | None = None, grid: DeskForm | None = None):
    """Show the price list, with a form that was refused."""
    is_one, form = form is not None, form or PriceFields(formdata=None)
    session, event = context.reading(), context.current_event()
    form.string_id.choices = _string_choices()
    rows = price_rows(session, event)
    return show(
        "event/settings/prices.html",
        rows=rows,
        form=form,
        is_one=is_one,
        grid=grid or price_grid(rows, formdata=None),
        priced=PRICED,
        tax_per_cent=per_cent_of(event.tax_basis_points),
    )


def _string_choices():
    return options([(0, "any"), *string_choices(context.reading(), context.current_event())])


@blueprint.get("/settings/prices")
def price_list():
    return prices_page()


@blueprint.post("/settings/prices")
def set_price():
    form, done = PriceFields(), "The price holds from now on; what was charged before stays."
    form.string_id.choices = _string_choices()
    if saved(form, done, prices.set_price, form.price()):
        return see(url_for("settings.price_list"))
    return prices_page(form)


@blueprint.post("/settings/prices/<int:price_id>/remove")
def remove_price(price_id: int) -> Response:
    context.do(prices.remove_price, price_id)
    flash("The price is taken off the list.")
    return see(url_for("settings.price_list"))


@blueprint.post("/settings/prices/all")
def set_prices() -> Response:
    rows = price_rows(context.reading(), context.current_event())
    form = price_grid(rows)
    if form.validate_on_submit():
        with saving(form, "The prices hold from now on; what was charged before stays.") as session:
            keep_prices(session, form, rows)
            return see(url_for("settings.price_list"))
    return prices_page(grid=form)
