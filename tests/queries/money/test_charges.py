"""Accounts and lists by player."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Player
from desk.queries.money.charges import account, price_rows
from desk.queries.money.holders import Holder
from desk.queries.money.player_totals import player_totals
from desk.services.money import charges, payments
from tests import make
from tests.make import acting
from tests.statements import statements_after


@pytest.fixture
def event(session: Session) -> Event:
    event = make.make_event(session)
    make.make_price(session, event, "labour", 2000)
    return event


def strung(session: Session, event: Event, player: Player, *, at: str = "Mon 12:00", **over: object) -> None:
    job = make.make_job(session, player, card={"own_mains": True, "own_crosses": True}, **over)
    charges.charge_job(session, event, job, acting=acting(at))


def test_the_list_by_player_has_what_each_owes_and_how_it_was_paid(any_session: Session) -> None:
    event = make.make_event(any_session)
    for kind, amount in (("labour", 2000), ("on_court", 500)):
        make.make_price(any_session, event, kind, amount)
    ada, bela = make.make_player(any_session, event, name="Ada"), make.make_player(any_session, event, name="Bela")
    make.make_player(any_session, event, name="Cai")
    strung(any_session, event, bela)
    strung(any_session, event, ada, on_court=True)
    strung(any_session, event, ada)
    for amount, method in ((1000, "cash"), (700, "card"), (1300, "prize_money")):
        payments.settle(any_session, event.id, Holder.of(ada), amount, method=method, acting=acting())
    first, second = player_totals(any_session, event)
    assert (first.player_name, first.racquets, first.labour_minor, first.other_minor) == ("Ada", 2, 4000, 500)
    assert (first.cash_minor, first.card_minor, first.prize_money_minor) == (1000, 700, 1300)
    assert (first.charged_minor, first.paid_minor, first.open_minor) == (4500, 3000, 1500)
    assert (second.player_name, second.open_minor) == ("Bela", 2000)


def test_an_account_adds_up_to_the_list(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    for _ in range(3):
        strung(session, event, player)
    payments.settle(session, event.id, Holder.of(player), 2500, method="cash", acting=acting())
    found, (row,) = account(session, event, player), player_totals(session, event)
    assert (found.charged_minor, found.paid_minor, found.open_minor) == (6000, 2500, 3500)
    assert (row.charged_minor, row.paid_minor, row.open_minor) == (6000, 2500, 3500)


def test_charges_of_another_event_are_not_seen(session: Session, event: Event) -> None:
    other = make.make_event(session)
    make.make_price(session, other, "labour", 900)
    strung(session, other, make.make_player(session, other))
    assert player_totals(session, event) == []


def test_lists_take_a_fixed_number_of_statements(session: Session, event: Event) -> None:
    player = make.make_player(session, event)

    def more() -> None:
        strung(session, event, player)
        strung(session, event, make.make_player(session, event))
        string = make.make_string(session, event)
        make.make_price(session, event, "string", 100, per="set", string_type_id=string.id)

    assert (
        statements_after(
            session,
            more,
            lambda: player_totals(session, event),
            lambda: account(session, event, player),
            lambda: price_rows(session, event),
        )
        == [[4, 2, 1]] * 2
    )
