"""Corrected files come in the place of an event at whose desk nothing happened yet, whole or not at all."""

from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Account, Charge, Event, LogEntry, MatchSide, Player, Settlement
from desk.models.database import Database
from desk.services.event_files import EventFiles, changed_since, read_event, store_again, store_event
from tests import make
from tests.services.event_files.files import EVENT, FILES, write_event

ACTING = make.acting(by="import")


def small_files(folder: Path, **over: str) -> EventFiles:
    folder.mkdir(exist_ok=True)
    return read_event(write_event(folder, **over))


def imported(database: Database, files: EventFiles) -> int:
    with database.writing() as session:
        event = store_event(session, files, acting=ACTING)
        make.make_account(session, name="front", role="desk", event_id=event.id)
        return event.id


def names(session: Session) -> list[str]:
    return list(session.scalars(select(Player.name).order_by(Player.code)))


def test_the_event_keeps_its_number_accounts_and_log_and_gets_the_files(any_database: Database, tmp_path: Path) -> None:
    files = small_files(tmp_path)
    event_id = imported(any_database, files)
    with any_database.reading() as session:
        before = session.get_one(Event, event_id)
    corrected = small_files(
        tmp_path,
        event=EVENT + "lead_minutes = 45\n",
        players=FILES["players.csv"].replace("Ilka Torvane", "Ilka Torvald"),
    )
    with any_database.writing() as session:
        store_again(session, corrected, known=[], acting=ACTING)
    with any_database.reading() as session:
        event = session.scalars(select(Event)).one()
        assert (event.id, event.lead_minutes, event.current_run_id) == (event_id, 45, None)
        assert event.revision > before.revision and event.change_number > before.change_number
        assert names(session) == ["Ilka Torvald", "Odile Mereldi", "Runa Kostavek", "Petra Ulbrenn"]
        assert session.scalar(select(func.count(MatchSide.id))) == 4
        assert session.scalars(select(Account.event_id)).all() == [event_id]
        assert session.scalar(select(func.count(LogEntry.id))) == 2
        assert changed_since(session, "testfield") == []


@pytest.mark.parametrize("what", ["racquets were dropped off", "something was charged", "something was paid"])
def test_it_is_refused_where_something_happened(what: str, database: Database, tmp_path: Path) -> None:
    files = small_files(tmp_path)
    event_id = imported(database, files)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        player = session.scalars(select(Player)).first()
        line = {
            "event_id": event.id,
            "player_id": player.id,
            "amount_minor": 100,
            "currency": "EUR",
            "at": ACTING.at,
            "by": "lead",
        }
        match what:
            case "racquets were dropped off":
                make.make_job(session, make.make_drop_off(session, player))
            case "something was charged":
                session.add(Charge(**line, kind="other", text="Grip", tax_minor=0, tax_basis_points=0))
            case _:
                session.add(Settlement(**line, method="cash"))
    with database.writing() as session, pytest.raises(Conflict, match=f"not imported again: {what}"):
        store_again(session, files, known=[], acting=ACTING)
    with database.reading() as session:
        assert len(names(session)) == 4


def test_what_cannot_be_stored_leaves_the_event_as_it_was(database: Database, tmp_path: Path) -> None:
    files = small_files(tmp_path)
    imported(database, files)
    first = files.tables["matches"][0]
    doubled = replace(first, values=first.values | {"side1": files.tables["matches"][0]["side2"]})
    broken = replace(files, tables=dict(files.tables) | {"matches": (doubled, doubled)})
    with pytest.raises((SQLAlchemyError, KeyError)), database.writing() as session:
        store_again(session, broken, known=[], acting=ACTING)
    with database.reading() as session:
        assert len(names(session)) == 4
        assert session.scalar(select(func.count(MatchSide.id))) == 4


def test_what_was_changed_meanwhile_is_not_lost_unseen(database: Database, tmp_path: Path) -> None:
    files = small_files(tmp_path)
    event_id = imported(database, files)
    with database.writing() as session:
        session.add(LogEntry(event_id=event_id, at=ACTING.at, by="lead", subject="charges", text="Price set"))
    with database.writing() as session, pytest.raises(Conflict, match="changed a moment ago"):
        store_again(session, files, known=[], acting=ACTING)
