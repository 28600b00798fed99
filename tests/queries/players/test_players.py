"""Finding players, their racquets, their history, and what may be suggested to them."""

from decimal import Decimal
from functools import partial

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Player
from desk.queries.players.history_table import HEADINGS, history_table
from desk.queries.players.players import find_players, history_rows, racquet_rows
from desk.queries.players.suggestions import proposal_for, restring_rows
from desk.services.string import string_use
from desk.trade.event.names import search_name
from tests import make
from tests.make import acting, moment
from tests.statements import statements, statements_after


def add(session: Session, event: Event, name: str, **over: object):
    return make.make_player(session, event, name=name, search_name=search_name(name), **over)


@pytest.mark.parametrize("text", ["tor", "TORV", "mees", "ilka t", "mees ilka", "P007", "ilká"])
def test_a_few_letters_of_any_part_of_the_name_find_a_player(any_session: Session, text: str) -> None:
    event = make.make_event(any_session)
    add(any_session, event, "Ilka Torvane-Mees", code="P007")
    add(any_session, event, "Orvan Lees")
    assert [row.name for row in find_players(any_session, event, text)] == ["Ilka Torvane-Mees"]


@pytest.mark.parametrize("text", ["orv", "ilka x", "%", "_"])
def test_letters_within_a_word_find_nobody(session: Session, event: Event, text: str) -> None:
    add(session, event, "Ilka Torvane-Mees")
    assert find_players(session, event, text) == []


def test_who_begins_with_the_letters_comes_first(session: Session, event: Event) -> None:
    for name in ("Ada Marn", "Marn Abel", "Zoe Marn"):
        add(session, event, name)
    assert [row.name for row in find_players(session, event, "marn")] == ["Marn Abel", "Ada Marn", "Zoe Marn"]


def test_without_letters_the_last_at_the_desk_come_first(session: Session, event: Event) -> None:
    first, second, _ = (add(session, event, name) for name in ("Abel", "Bela", "Cai"))
    make.make_job(session, second, dropped_at=moment("Mon 09:00"))
    make.make_job(session, first, dropped_at=moment("Mon 10:00"), state="handed_over")
    rows = find_players(session, event, "")
    assert [(row.name, row.racquets, row.at_desk) for row in rows] == [("Abel", 1, 0), ("Bela", 1, 1), ("Cai", 0, 0)]


def test_a_search_among_two_thousand_takes_three_statements(session: Session, event: Event) -> None:
    for number in range(2000):
        name = f"Name{number:04} Part{number % 50:02}"
        code = f"Q{number:04}"
        values = {"search_name": search_name(name), "token": code, "token_issued_at": moment("Mon 08:00")}
        session.add(Player(event_id=event.id, code=code, name=name, **values))
    with statements(session) as seen:
        rows = find_players(session, event, "part07")
    assert (len(rows), len(seen)) == (12, 3)


def test_racquets_come_with_the_card_of_their_last_job(any_session: Session) -> None:
    event = make.make_event(any_session)
    player = make.make_player(any_session, event)
    racquet, _ = make.make_racquet(any_session, player), make.make_racquet(any_session, player)
    for tension, state in (("50", "handed_over"), ("51.5", "handed_over"), ("60", "cancelled")):
        make.make_job(any_session, player, racquet=racquet, state=state, card={"mains_tension": Decimal(tension)})
    first, second = racquet_rows(any_session, player)
    assert first.last is not None
    assert str(first.last.bed.mains.tension) == "51.5"
    assert second.last is None


def test_racquets_are_read_in_three_statements(session: Session, event: Event) -> None:
    player = make.make_player(session, event)

    def read() -> None:
        session.expunge_all()
        racquet_rows(session, player)

    assert statements_after(session, lambda: make.make_job(session, player), read) == [[3], [3]]


def test_history_has_the_metres_the_machine_and_the_redo(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    make.make_reel(session, make.make_string(session, event))
    machine = make.make_machine(session, event)
    first = make.make_job(session, player, state="redo", machine_id=machine.id, stiffness=38.5)
    string_use.use_for_job(session, event, first, acting=acting(), used=make.cut(6, 5.2))
    make.make_job(session, player, racquet=first.racquet, redo_of_id=first.id)
    again, row = history_rows(session, event, player)
    assert (row.metres.total_m, row.metres.measured, row.card.machine, row.stiffness) == (11.2, True, "Bench 1", 38.5)
    assert (again.redo_of_code, again.metres.total_m) == (first.code, 0)


def test_history_is_read_in_a_fixed_number_of_statements(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    more, read = (partial(make.make_job, session, player), partial(history_rows, session, event, player))
    assert statements_after(session, more, read) == [[3], [3]]


def test_the_table_to_take_along_reads_as_it_was_spoken(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    make.make_reel(session, make.make_string(session, event))
    card = {"mains_tension": Decimal("52.50"), "crosses_tension": Decimal("51"), "pieces": 1}
    job = make.make_job(session, player, state="strung", finished_at=moment("Mon 12:30"), card=card)
    string_use.use_for_job(session, event, job, acting=acting(), used=make.cut(6, 5.2))
    headings, line = history_table(session, event, player)
    row = dict(zip(headings, line, strict=True))
    names = ("dropped_off", "strung", "mains_tension", "unit", "knots", "mains_m", "crosses_m", "metres")
    assert [row[name] for name in names] == [
        "2031-05-12 09:00", "2031-05-12 12:30", "52.5", "lb", "2", "6", "5.2", "measured",
    ]  # fmt: skip
    assert headings == HEADINGS


def test_a_bed_of_many_hours_is_due(session: Session, event: Event) -> None:
    player = make.make_player(session, event, hours_per_week=14)
    make.make_job(session, player, state="handed_over", finished_at=moment("Mon 12:00"))
    (row,) = restring_rows(session, event, player, moment("2031-05-17 12:00"))
    # Five days at 14 hours a week.
    assert (row.hours, row.basis, row.advice.urgency) == (10.0, "14 h of play a week", "due")


def test_hours_of_matches_count_since_the_racquet_was_strung(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    make.make_job(session, player, state="handed_over", finished_at=moment("Mon 12:00"))
    times = {"started_at": moment("Mon 14:00"), "ended_at": moment("Mon 16:30"), "state": "finished"}
    court = make.make_court(session, event)
    make.make_match(session, court, day=event.days[0], players=(player, None), **times)
    (row,) = restring_rows(session, event, player, moment("Tue 12:00"))
    assert (row.hours, row.basis, row.advice.urgency) == (2.5, "matches since it was strung", "not yet")


def test_where_no_hours_are_known_nothing_is_advised(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    make.make_job(session, player, state="handed_over", finished_at=moment("Mon 12:00"))
    assert restring_rows(session, event, player, moment("Wed 12:00")) == []


def test_a_newcomer_is_offered_the_middle_of_the_printed_range(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    frame = make.make_frame(session, event, tension_low=Decimal("50"), tension_high=Decimal("57"))
    make.make_string(session, event, name="Soft", material="nylon_multifilament")
    row = proposal_for(session, event, player, frame, full_swing=False)
    # 50-57 lb gives 53.5 lb: common practice, as in the notes on players who do not know what to ask for.
    assert row.proposal.tension is not None
    assert row.proposal.tension.display() == "53.5 lb"
    assert row.strings is not None and row.strings.mains == ("Soft",)
    assert len(row.proposal.reasons) == 2


def test_who_was_here_before_is_offered_the_same_again(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    card = {"mains_tension": Decimal("24.5"), "crosses_tension": Decimal("24"), "tension_unit": "kg"}
    make.make_job(session, player, state="handed_over", card=card)
    row = proposal_for(session, event, player, None)
    assert row.proposal.tension is not None
    assert row.proposal.tension.display() == "24.5 kg"
