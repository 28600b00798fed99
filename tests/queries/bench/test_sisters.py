"""Sisters that differ are shown while one of them is still here."""

from decimal import Decimal
from itertools import count

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Job, Player
from desk.queries.bench.sisters import unlike_sisters
from tests import make
from tests.make import moment
from tests.statements import statements_after


def strung(session: Session, player: Player, stiffness: float, **over: object) -> Job:
    values = {"state": "strung", "finished_at": moment("Mon 12:00"), "stiffness": stiffness} | over
    return make.make_job(session, player, **values)


def test_two_units_apart_are_shown(any_session: Session) -> None:
    event = make.make_event(any_session)
    player = make.make_player(any_session, event)
    soft, stiff = strung(any_session, player, 36.5), strung(any_session, player, 38.5)
    (pair,) = unlike_sisters(any_session, event)
    assert (pair.softer.code, pair.stiffer.code, pair.difference) == (soft.code, stiff.code, 2)
    assert pair.reason == (
        f"{soft.code} (racquet 1, 36.5) and {stiff.code} (racquet 2, 38.5) differ by 2.0: "
        "measure both again, or string one again."
    )


def test_one_unit_apart_may_leave(session: Session, event: Event) -> None:
    # Within one unit of stringbed stiffness: certification practice.
    player = make.make_player(session, event)
    strung(session, player, 36.1), strung(session, player, 37.1)
    assert unlike_sisters(session, event) == []


@pytest.mark.parametrize(
    "other",
    [
        {"card": {"mains_tension": Decimal("53")}},
        {"finished_at": moment("Tue 12:00")},
        {"state": "redo"},
        {"stiffness": None},
    ],
    ids=["other tension", "other day", "strung again", "not read"],
)
def test_only_sisters_are_compared(session: Session, event: Event, other: dict) -> None:
    player = make.make_player(session, event)
    strung(session, player, 36)
    strung(session, player, **({"stiffness": 39} | other))
    assert unlike_sisters(session, event) == []


def test_the_same_tension_written_otherwise_is_the_same_card(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    strung(session, player, 36, card={"mains_tension": Decimal("52")})
    strung(session, player, 39, card={"mains_tension": Decimal("52.0")})
    assert len(unlike_sisters(session, event)) == 1


def test_racquets_of_two_players_are_no_sisters(session: Session, event: Event) -> None:
    for stiffness in (36, 39):
        strung(session, make.make_player(session, event), stiffness)
    assert unlike_sisters(session, event) == []


def test_a_pair_that_left_is_shown_no_more(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    one = strung(session, player, 36, state="handed_over")
    other = strung(session, player, 39)
    assert len(unlike_sisters(session, event)) == 1
    one.state = other.state = "handed_over"
    assert unlike_sisters(session, event) == []


def test_the_tolerance_is_the_events(session: Session) -> None:
    event = make.make_event(session, stiffness_tolerance=3.0)
    player = make.make_player(session, event)
    strung(session, player, 36), strung(session, player, 38.5)
    assert unlike_sisters(session, event) == []


def test_sisters_take_a_fixed_number_of_statements(session: Session, event: Event) -> None:
    player, stiffness = make.make_player(session, event), count(30, 2)
    more, read = lambda: strung(session, player, next(stiffness)), lambda: unlike_sisters(session, event)
    assert statements_after(session, more, read) == [[2], [2]]
