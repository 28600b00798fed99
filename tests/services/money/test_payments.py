"""Payments: what is settled, refused and taken back."""

import pytest

from desk.errors import BadInput, Conflict, NotFound
from desk.queries.money.holders import Holder
from desk.services.money import payments
from tests import make
from tests.services.money.priced_desk import PricedDesk


@pytest.mark.parametrize("method", ["cash", "card", "prize_money"])
def test_a_player_settles(desk: PricedDesk, method: str) -> None:
    desk.charge(desk.strung())
    payments.settle(desk.session, desk.event.id, Holder.of(desk.player), 1500, method=method, acting=make.acting())
    assert desk.open_minor() == 500


def test_nobody_pays_more_than_they_owe(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    with pytest.raises(Conflict, match=r"owes €20\.00, not €20\.01"):
        payments.settle(desk.session, desk.event.id, Holder.of(desk.player), 2001, method="cash", acting=make.acting())


def test_an_unknown_way_to_pay_is_refused(desk: PricedDesk) -> None:
    with pytest.raises(BadInput, match="cash, card, bank transfer, prize money or federation"):
        payments.settle(desk.session, desk.event.id, Holder.of(desk.player), 10, method="beads", acting=make.acting())


def test_a_payment_is_taken_back_once(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    paid = payments.settle(
        desk.session, desk.event.id, Holder.of(desk.player), 2000, method="card", acting=make.acting()
    )
    payments.take_back_settlement(desk.session, desk.event.id, paid.id, acting=make.acting())
    assert desk.open_minor() == 2000
    with pytest.raises(Conflict, match="taken back already"):
        payments.take_back_settlement(desk.session, desk.event.id, paid.id, acting=make.acting())


def test_a_player_of_another_event_cannot_pay_here(desk: PricedDesk) -> None:
    stranger = make.make_player(desk.session, make.make_event(desk.session))
    with pytest.raises(NotFound, match="another event"):
        payments.settle(desk.session, desk.event.id, Holder.of(stranger), 10, method="cash", acting=make.acting())
