"""Gut in sets and half sets is ordered as it is sold, on the screen, the sheet and the rehearsal's list alike."""

from types import SimpleNamespace

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, StringType
from desk.queries.close.string_rows import orders
from desk.queries.home.store_lines import shortage_line
from desk.queries.rehearsal.answers import StringUse
from desk.queries.rehearsal.rehearsal_report import string_rows, string_stock
from desk.queries.string.foresight import foresee
from desk.queries.string.orders import OrderRow, order_rows
from exports.rehearsal.rehearsal_rows import RehearsedStringRow
from solver.rehearsal import Band
from tests import make

AT = make.moment("Mon 12:00")


@pytest.fixture
def event(session: Session) -> Event:
    return make.make_event(session, days=1)


@pytest.fixture
def gut(session: Session, event: Event) -> StringType:
    return make.make_string(session, event, material="natural_gut", code="GUT")


def _waiting(session: Session, event: Event, gut: StringType, hybrids: int, whole: int = 0) -> None:
    """Hybrids with mains of gut, and whole beds of it; 98 sq in: mains take 5.86 m, crosses 5.35 m."""
    poly = make.make_string(session, event, code="POLY")
    make.make_reel(session, poly)
    frame, player = make.make_frame(session, event), make.make_player(session, event)
    for number in range(hybrids + whole):
        racquet = make.make_racquet(session, player, frame=frame, number=number + 1)
        crosses = gut if number >= hybrids else poly
        card = {"mains_string_id": gut.id, "crosses_string_id": crosses.id}
        make.make_job(session, player, racquet=racquet, card=card)


def _row(session: Session, event: Event, gut: StringType) -> OrderRow:
    return next(row for row in order_rows(session, event, AT) if row.string_id == gut.id)


def test_three_hybrids_take_two_sets_and_not_a_length_of_metres(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=12, kind="set")
    _waiting(session, event, gut, hybrids=4)
    row = _row(session, event, gut)
    assert (row.order, row.piece, row.reel_length_m) == (1, "set", 12)
    # The metres stay as they are: four mains of 5.86 m.
    assert (row.waiting_m, row.need_m, row.on_hand_m) == (23.4, 23.4, 12)
    assert row.note == "1 set of 12 m; there: 1 set"
    (said,) = orders(session, event, AT)
    assert (said.piece, said.order_reels, said.note) == ("set", 1, row.note)


def test_halves_that_are_kept_are_counted_where_they_are_long_enough(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=12, kind="set")
    make.make_reel(session, gut, metres=5.5, kind="half_set")
    _waiting(session, event, gut, hybrids=3)
    # 17.5 m are there and 17.6 m are needed, but no mains fit on the half of 5.5 m.
    assert _row(session, event, gut).note == "1 set of 12 m; there: 1 set and 1 half set"
    make.make_reel(session, gut, metres=6.1, kind="half_set")
    row = _row(session, event, gut)
    assert (row.order, row.runs_out_on) == (0, None)


def test_half_sets_are_ordered_where_they_are_what_is_bought(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=6.1, kind="half_set", price_minor=2400)
    _waiting(session, event, gut, hybrids=2, whole=1)
    row = _row(session, event, gut)
    assert (row.order, row.piece, row.note) == (3, "half set", "3 half sets of 6.1 m; there: 1 half set")
    (said,) = orders(session, event, AT)
    assert (said.piece, said.order_reels, said.reel_length_m) == ("half set", 3, 6.1)


def test_a_half_that_lay_there_is_ordered_as_the_set_it_was(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=6.1, kind="half_set")
    _waiting(session, event, gut, hybrids=3)
    row = _row(session, event, gut)
    assert (row.order, row.piece, row.reel_length_m) == (1, "set", 12.2)


def test_the_home_screen_names_sets_too(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=12, kind="set")
    _waiting(session, event, gut, hybrids=7)
    short = foresee(session, event).cannot_string
    assert len(short) == 5
    assert shortage_line(list(short)).text == "5 racquets wait for the desk’s string: 29 m, 3 sets."


def _rehearsed(session: Session, event: Event, most_m: float, half_m: float) -> RehearsedStringRow:
    use = StringUse(code="GUT", own=False, metres=Band(most_m / 2, 0.0, most_m), half_m=half_m)
    return string_rows(SimpleNamespace(strings=(use,)), string_stock(session, event))[0]


def test_the_rehearsal_counts_halves_as_the_store_does(session: Session, event: Event, gut) -> None:
    make.make_reel(session, gut, metres=12, kind="set")
    make.make_reel(session, gut, metres=5.5, kind="half_set")
    # Ten mains of 5.86 m: two from the set that is there, none from the half, and two from each new set.
    row = _rehearsed(session, event, 58.6, 5.86)
    assert (row.order, row.piece, row.piece_m, row.in_stock_m, row.pieces) == (4, "set", 12, 17.5, 5)
    # With mains of 6.2 m no set gives two: one mains from the set that is there, nine sets for the rest.
    assert _rehearsed(session, event, 62.0, 6.2).order == 9
