"""An order of play from a file: taken in as a whole, or refused with every fault."""

from collections.abc import Callable

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Court, Event, Match
from desk.models.database import Database
from desk.services.event_files import read_matches
from desk.services.play import match_sheets, play
from tests import make

HEADER = "code,day,court,position,format,start_kind,start,side1,side2\n"
TWO = (
    "A1,2031-05-12,Court 1,1,best_of_3_women,at,11:00,P1,Bo Arnqvist\n"
    "A2,2031-05-12,Court 1,2,best_of_3_women,followed_by,,P3,winner of A1\n"
)


@pytest.fixture
def event_id(database: Database) -> int:
    """An event with three players and no court."""
    with database.writing() as session:
        event = make.make_event(session)
        for code, name in (("P1", "Ya Lim"), ("P2", "Bo Arnqvist"), ("P3", "Ilka Torvane")):
            make.make_player(session, event, code=code, name=name, search_name=name.lower())
        return event.id


def take(database: Database, event_id: int, rows: str) -> match_sheets.MatchesTaken:
    return take_file(database, event_id, (HEADER + rows).encode(), "order.csv")


def take_file(database: Database, event_id: int, data: bytes, name: str) -> match_sheets.MatchesTaken:
    with database.reading() as session:
        rows = read_matches(session, session.get_one(Event, event_id), data=data, file_name=name)
    with database.writing() as session:
        return match_sheets.take_matches(session, event_id, rows, file_name=name, acting=make.acting("Mon 10:00"))


def read(database: Database, look: Callable[[Session], object]) -> object:
    with database.reading() as session:
        return look(session)


def places(session: Session) -> list[tuple[str, int, int]]:
    found = select(Match).order_by(Match.day_id, Match.court_id, Match.position)
    return [(match.code, match.court.position, match.position) for match in session.scalars(found)]


def test_a_file_brings_its_courts_matches_and_players_by_code_or_name(database: Database, event_id: int) -> None:
    taken = take(database, event_id, TWO)
    assert (taken.added, taken.changed, taken.left) == (2, 0, 0)
    assert read(database, places) == [("A1", 1, 1), ("A2", 1, 2)]
    sides = read(
        database,
        lambda session: [
            (side.side, side.player_id, side.winner_of_id)
            for match in session.scalars(select(Match).order_by(Match.code))
            for side in match.sides
        ],
    )
    first = read(database, lambda session: session.scalars(select(Match.id).where(Match.code == "A1")).one())
    assert sides == [(1, 1, None), (2, 2, None), (1, 3, None), (2, None, first)]


def test_every_fault_is_listed_and_nothing_is_stored(database: Database, event_id: int) -> None:
    rows = (
        "A1,2031-05-12,Court 1,1,best_of_3_women,followed_by,,P1,P9\n"
        "A2,2031-06-12,Court 1,1,best_of_9,at,,P3,winner of A7\n"
    )
    with pytest.raises(BadInput) as caught:
        take(database, event_id, rows)
    columns = [fault.where.rpartition("column ")[2] for fault in caught.value.faults]
    assert sorted(columns) == ["day", "format", "side2", "side2", "start_kind"]
    assert read(database, lambda session: session.scalars(select(Court.id)).all()) == []


def test_an_unknown_court_is_a_fault_where_the_event_has_courts(database: Database, event_id: int) -> None:
    take(database, event_id, TWO)
    with pytest.raises(BadInput) as caught:
        take(database, event_id, "A3,2031-05-12,Cuort 1,3,best_of_3_women,at,15:00,P1,P3\n")
    assert [fault.found for fault in caught.value.faults] == ['"Cuort 1"']


def test_a_match_more_goes_to_its_place_among_those_that_the_file_leaves_out(database: Database, event_id: int) -> None:
    take(database, event_id, TWO)
    take(database, event_id, "A3,2031-05-12,Court 1,2,best_of_3_women,followed_by,,P1,P3\n")
    assert read(database, places) == [("A1", 1, 1), ("A3", 1, 2), ("A2", 1, 3)]


def test_a_second_file_changes_what_has_not_begun_and_leaves_the_rest(database: Database, event_id: int) -> None:
    take(database, event_id, TWO)
    with database.writing() as session:
        first = session.scalars(select(Match).where(Match.code == "A1")).one()
        play.start_match(session, event_id, first.id, acting=make.acting("Mon 11:04"))
        play.finish_match(session, event_id, first.id, winner_side=2, acting=make.acting("Mon 12:30"))
    again = TWO.replace("followed_by,,P3", "not_before,14:00,P3").replace("at,11:00", "at,10:00")
    taken = take(database, event_id, again + "A3,2031-05-12,Court 1,3,best_of_3_women,followed_by,,P1,P3\n")
    assert (taken.added, taken.changed, taken.left) == (1, 1, 1)

    def second(session: Session) -> tuple:
        match = session.scalars(select(Match).where(Match.code == "A2")).one()
        return match.start_at, [side.player_id for side in match.sides]

    assert read(database, second) == (make.moment("Mon 14:00"), [3, 2])
    assert read(database, places) == [("A1", 1, 1), ("A2", 1, 2), ("A3", 1, 3)]


def test_a_match_that_a_file_moves_to_another_court_leaves_no_gap(database: Database, event_id: int) -> None:
    take(database, event_id, TWO + "B1,2031-05-12,Court 2,1,best_of_3_women,at,11:00,P2,P3\n")
    take(database, event_id, "A1,2031-05-12,Court 2,1,best_of_3_women,at,11:00,P1,P2\n")
    assert read(database, places) == [("A2", 1, 1), ("A1", 2, 1), ("B1", 2, 2)]


def test_a_workbook_is_read_like_a_csv_file(database: Database, event_id: int) -> None:
    from io import BytesIO

    from openpyxl import Workbook

    book, out = Workbook(), BytesIO()
    for line in (HEADER + TWO).splitlines():
        book.active.append(line.split(","))
    book.save(out)
    assert take_file(database, event_id, out.getvalue(), "order.xlsx").added == 2
