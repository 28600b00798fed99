"""The price list: set once a kind, refused and removed."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.queries.money.charges import price_rows
from desk.services.money import prices
from desk.services.money.prices import PriceForm
from tests import make
from tests.services.money.priced_desk import PricedDesk, priced_desk


def test_a_price_is_set_once_a_kind(any_session: Session) -> None:
    desk = priced_desk(any_session)
    for amount in (1800, 2200):
        prices.set_price(
            any_session, desk.event.id, PriceForm(kind="labour", amount_minor=amount), acting=make.acting()
        )
    labour = [row.amount_minor for row in price_rows(any_session, desk.event) if row.kind == "labour"]
    assert labour == [2200]


def test_a_price_of_labour_by_the_metre_is_refused(desk: PricedDesk) -> None:
    with pytest.raises(BadInput, match="choose job"):
        form = PriceForm(kind="labour", amount_minor=1, per="metre")
        prices.set_price(desk.session, desk.event.id, form, acting=make.acting())


def test_a_removed_price_charges_nothing(desk: PricedDesk) -> None:
    labour = next(row for row in price_rows(desk.session, desk.event) if row.kind == "labour")
    prices.remove_price(desk.session, desk.event.id, labour.price_id, acting=make.acting())
    assert desk.charge(desk.strung()) == []
