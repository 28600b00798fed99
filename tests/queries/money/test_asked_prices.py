"""The price told before a racquet is accepted is the price that stands on its receipt."""

from typing import Any

import pytest
from sqlalchemy.orm import Session

from desk.queries.counter.paper_card import expected_lines
from desk.queries.money.charge_lines import lines_asked
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import small_desk

OWN: dict[str, Any] = {"own": True}


@pytest.mark.parametrize(
    ("card", "kinds"),
    [
        ({}, ["labour", "string"]),
        ({"extra_work": "grommets", "stencil": "wave"}, ["labour", "extra_work", "stencil", "string"]),
        ({"mains": OWN, "crosses": OWN}, ["labour"]),
        ({"crosses": OWN}, ["labour", "string"]),
    ],
)
def test_what_is_asked_for_costs_what_the_receipt_says(session: Session, card: dict, kinds: list[str]) -> None:
    desk = small_desk(session)
    for kind, amount in (("labour", 1600), ("extra_work", 750), ("stencil", 200)):
        make.make_price(session, desk.event, kind, amount)
    make.make_price(session, desk.event, "string", 90, per="metre")
    make.make_reel(session, desk.string, owner_id=desk.player.id)
    form = desk.form(desk.racquet_form(card=card, needed_by_kind="none"))
    asked = lines_asked(session, desk.event, form.racquets[0].card, desk.frame)
    (job,) = take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 09:00")).jobs
    assert asked == expected_lines(session, desk.event, job.id)
    assert [line.kind for line in asked] == kinds
