"""Charges by the price list, and corrections as further lines."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import Charge
from desk.queries.money.charges import account
from desk.queries.money.player_totals import player_totals
from desk.services.money import charges
from desk.services.string import new_reels, string_use
from tests import make
from tests.services.money.priced_desk import PricedDesk, priced_desk


def test_a_racquet_costs_its_labour(desk: PricedDesk) -> None:
    assert desk.charge(desk.strung()) == [("labour", "Stringing", 2000)]


def test_every_kind_of_work_is_a_line(desk: PricedDesk) -> None:
    job = desk.strung(on_court=True, card={"extra_work": "grommets_and_grip", "stencil": "Maker"})
    assert desk.charge(job) == [
        ("labour", "Stringing", 2000),
        ("on_court", "On-court surcharge", 1000),
        ("extra_work", "Grommets", 700),
        ("extra_work", "Grip", 700),
        ("stencil", "Stencil", 300),
    ]


def test_string_is_charged_by_the_set(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 1500, per="set")
    assert desk.charge(desk.strung())[1:] == [("string", "String String A 1.25", 1500)]


def test_string_is_charged_by_the_metre(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 125, per="metre")
    # 11.3 m at 1.25 is 14.125, halves to even 14.12.
    assert desk.charge(desk.strung())[1:] == [("string", "String String A 1.25, 11.3 m", 1412)]


def test_the_price_of_one_string_stands_before_the_general_one(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 1500, per="set")
    make.make_price(desk.session, desk.event, "string", 2500, per="set", string_type_id=desk.string.id)
    assert desk.charge(desk.strung())[1:] == [("string", "String String A 1.25", 2500)]


def test_a_set_is_charged_as_a_set_and_a_reel_by_the_metre(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 1500, per="set")
    make.make_price(desk.session, desk.event, "string", 100, per="metre")
    job, other = desk.strung(), desk.job()
    new = new_reels.NewReels(string_id=desk.string.id, metres=12, kind="set")
    (one,) = new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())
    string_use.use_for_job(
        desk.session, desk.event, other, acting=make.acting(), used=make.cut(6, 5, reels=(one.id, None))
    )
    assert desk.charge(job)[1:] == [("string", "String String A 1.25, 11.3 m", 1130)]
    assert desk.charge(other)[1:] == [("string", "String String A 1.25", 1500)]


def test_a_hybrid_costs_half_a_set_of_each(desk: PricedDesk) -> None:
    gut = make.make_string(desk.session, desk.event, name="String B", gauge_mm=1.3)
    make.make_reel(desk.session, gut)
    make.make_price(desk.session, desk.event, "string", 1501, per="set")
    make.make_price(desk.session, desk.event, "string", 4000, per="set", string_type_id=gut.id)
    lines = desk.charge(desk.strung(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}))
    assert lines[1:] == [("string", "String String B 1.30", 2000), ("string", "String String A 1.25", 750)]


def test_own_string_costs_nothing(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 1500, per="set")
    assert desk.charge(desk.strung(card={"own_mains": True, "own_crosses": True})) == [("labour", "Stringing", 2000)]


def test_the_desks_string_in_an_own_string_racquet_is_charged(desk: PricedDesk) -> None:
    make.make_price(desk.session, desk.event, "string", 1500, per="set")
    job = desk.job(card={"own_mains": True, "own_crosses": True})
    reel_id = make.make_reel(desk.session, desk.string).id
    string_use.use_for_job(desk.session, desk.event, job, acting=make.acting(), used=make.cut(reels=(reel_id, reel_id)))
    assert [line[0] for line in desk.charge(job)] == ["labour", "string"]


def test_a_redo_costs_nothing(desk: PricedDesk) -> None:
    first = desk.strung()
    desk.charge(first)
    assert desk.charge(desk.strung(racquet=first.racquet, redo_of_id=first.id)) == []
    assert desk.open_minor() == 2000


def test_a_racquet_is_charged_once(any_session: Session) -> None:
    desk = priced_desk(any_session)
    job = desk.strung()
    desk.charge(job)
    assert desk.charge(job) == []
    assert desk.open_minor() == 2000


def test_what_is_taken_back_leaves_both_lines_and_can_be_charged_again(any_session: Session) -> None:
    desk = priced_desk(any_session)
    job = desk.strung(on_court=True)
    desk.charge(job)
    charges.undo_charge(any_session, desk.event, job, acting=make.acting())
    assert desk.open_minor() == 0
    assert [line.amount_minor for line in account(any_session, desk.event, desk.player).lines] == [
        2000, 1000, -2000, -1000,
    ]  # fmt: skip
    assert player_totals(any_session, desk.event)[0].racquets == 0
    assert charges.undo_charge(any_session, desk.event, job, acting=make.acting()) == []
    desk.charge(job)
    assert desk.open_minor() == 3000


def test_the_tax_is_within_the_amount(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    line = account(desk.session, desk.event, desk.player).lines[0]
    # 20.00 with 19 % in it: 20.00 x 19 / 119 = 3.193...
    assert (line.amount_minor, line.tax_minor) == (2000, 319)


def test_a_correction_is_a_further_line(any_session: Session) -> None:
    desk = priced_desk(any_session)
    desk.charge(desk.strung())
    first = any_session.scalars(select(Charge)).one()
    for amount in (1500, 1800):
        line = charges.correct_charge(
            any_session, desk.event.id, first.id, amount, acting=make.acting(), reason="agreed with the coach"
        )
    assert line.corrects_id == first.id
    assert [line.amount_minor for line in account(any_session, desk.event, desk.player).lines] == [2000, -500, 300]
    assert account(any_session, desk.event, desk.player).tax_minor == 287
    assert first.amount_minor == 2000


def test_a_correction_of_a_correction_concerns_the_first_charge(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    first = desk.session.scalars(select(Charge)).one()
    again = charges.correct_charge(desk.session, desk.event.id, first.id, 1500, acting=make.acting(), reason="a")
    last = charges.correct_charge(desk.session, desk.event.id, again.id, 0, acting=make.acting(), reason="b")
    assert (last.amount_minor, last.corrects_id) == (-1500, first.id)


def test_a_correction_needs_a_reason_and_a_change(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    first = desk.session.scalars(select(Charge)).one()
    with pytest.raises(BadInput, match="Say why"):
        charges.correct_charge(desk.session, desk.event.id, first.id, 0, acting=make.acting(), reason="")
    with pytest.raises(Conflict, match="stands at that amount already"):
        charges.correct_charge(desk.session, desk.event.id, first.id, 2000, acting=make.acting(), reason="x")


def test_a_charge_of_another_event_is_not_found(desk: PricedDesk) -> None:
    desk.charge(desk.strung())
    first = desk.session.scalars(select(Charge)).one()
    other = make.make_event(desk.session)
    with pytest.raises(NotFound, match="another event"):
        charges.correct_charge(desk.session, other.id, first.id, 0, acting=make.acting(), reason="x")


def test_something_on_no_job_is_charged(desk: PricedDesk) -> None:
    charges.add_charge(desk.session, desk.event.id, desk.player.id, 450, acting=make.acting(), text="Overgrip")
    assert desk.open_minor() == 450
