"""An event written as a folder is read back as it stands, with every row of it."""

import json
import stat
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from desk.errors import BadInput, Conflict
from desk.models import Base, Contact, Event, Job, Match, MatchSide, Player
from desk.models.database import Database
from desk.queries.machines.machines import machine_rows
from desk.queries.play.play_records import read_play
from desk.services.counter.drop_offs import take_drop_off
from desk.services.event_files import SO_FAR, read_event, store_so_far, write_event
from desk.services.event_files.so_far.scope import (
    EVENT,
    LEFT_OUT,
    NOT_OF_THE_EVENT,
    rows_of,
    tables_of_event,
    target_of,
)
from desk.services.machines import calibrating, machines
from desk.services.money.charges import add_charge
from desk.services.money.payers import let_pay
from desk.services.play import play_stops
from desk.services.team import team
from tests import make
from tests.services.small_desk import small_desk

pytestmark = pytest.mark.slow


def everything(database: Database, slug: str) -> dict[str, Any]:
    """Return all rows of an event, with every number of a row replaced by its place in its table."""
    with database.reading() as session:
        event = session.scalars(select(Event).where(Event.slug == slug)).one()
        places = {EVENT.name: {event.id: 1}}
        found: dict[str, Any] = {"event": [getattr(event, c.name) for c in EVENT.c if c.name not in NOT_OF_THE_EVENT]}
        for table in tables_of_event():
            rows = [dict(row._mapping) for row in session.execute(rows_of(table, event.id))]
            places[table.name] = {row["id"]: place for place, row in enumerate(rows, start=1)}
            found[table.name] = [{c.name: place_of(places, c, row[c.name]) for c in table.columns} for row in rows]
        found["log_entry"] = [row for row in found["log_entry"] if "imported as it stood" not in row["text"]]
        return found


def place_of(places: dict[str, dict[int, int]], column: Any, value: Any) -> Any:
    if column.name in ("id", "request_key"):
        return None
    target = target_of(column)
    return value if target is None or value is None else places[target][value]


def written(database: Database, folder: Path, slug: str) -> Path:
    with database.reading() as session:
        write_event(session, session.scalars(select(Event).where(Event.slug == slug)).one(), folder)
    return folder


def stored(database: Database, folder: Path) -> str:
    with database.writing() as session:
        return store_so_far(session, folder, acting=make.acting(by="import")).slug


@pytest.fixture
def small(database: Database, tmp_path: Path) -> Path:
    """A small event with a job and a match whose winner goes on, as a folder."""
    with database.writing() as session:
        desk = small_desk(session, slug="small")
        job = make.make_job(session, desk.player, racquet=desk.racquets[0])
        make.make_job(session, desk.player, racquet=desk.racquets[0], redo_of_id=job.id)
        other, court, day = (
            make.make_player(session, desk.event),
            make.make_court(session, desk.event),
            desk.event.days[0],
        )
        first = make.make_match(session, court, day=day, players=(desk.player, other), start="at 11:00")
        make.make_match(session, court, day=day, players=(first, None))
        federation = make.make_contact(session, desk.event, desk.player, kind="federation")
        charge = add_charge(session, desk.event.id, desk.player.id, 700, acting=make.acting(), text="Grip")
        let_pay(session, desk.event.id, [charge.id], federation.id, acting=make.acting())
    return written(database, tmp_path / "out", "small")


def test_a_played_event_comes_back_whole(riverside, database: Database, tmp_path: Path) -> None:
    folder = written(riverside.database, tmp_path / "out", "riverside-one-day")
    assert stored(database, folder) == "riverside-one-day"
    assert everything(database, "riverside-one-day") == everything(riverside.database, "riverside-one-day")


def test_what_happened_comes_back_and_goes_on(database: Database, tmp_path: Path) -> None:
    """Absences, outages, a move, readings and rain: over, still holding, and expected to end."""
    at, later = make.acting("Mon 10:00"), make.acting("Mon 10:30")
    with database.writing() as session:
        desk = small_desk(session, slug="stormy")
        away, back = (one.id for one in desk.stringers)
        broken, moved = (one.id for one in desk.machines)
        event_id = desk.event.id
        team.call_in_absent(session, event_id, away, acting=at, reason="ill", back_at=make.moment("Mon 14:00"))
        team.call_in_absent(session, event_id, back, acting=at)
        team.back_at_work(session, event_id, back, acting=later)
        machines.take_out_of_service(session, event_id, broken, acting=at, reason="motor")
        readings = [calibrating.Reading(reference=one, reading=one, unit="kg") for one in (Decimal(20), Decimal(25))]
        calibrating.calibrate(session, event_id, moved, readings, acting=at)
        machines.note_move(session, event_id, moved, acting=later)
        play_stops.stop_play(session, event_id, acting=at)
        play_stops.resume_play(session, event_id, acting=later, resumes_at=make.moment("Mon 12:00"))
    folder = written(database, tmp_path / "out", "stormy")
    other = Database(f"sqlite:///{tmp_path}/other.sqlite")
    other.upgrade()
    stored(other, folder)
    assert everything(other, "stormy") == everything(database, "stormy")
    with other.writing() as session:
        event = session.scalars(select(Event)).one()
        one, two = machine_rows(session, event, later.at)
        assert one.out_reason == "motor" and two.reason.startswith("Not read since it was repaired or moved")
        stop = read_play(session, event).stop_at(later.at)
        assert stop is not None and stop.resumes_at == make.moment("Mon 12:00")
        machines.put_back_in_service(session, event.id, one.machine_id, acting=make.acting("Mon 11:00"))
        play_stops.resume_play(session, event.id, acting=make.acting("Mon 11:00"))


def test_which_racquet_matters_comes_back_and_stands_in_the_table(database: Database, tmp_path: Path) -> None:
    with database.writing() as session:
        desk = small_desk(session, slug="hurried")
        racquets = [desk.racquet_form(number, matters=said) for number, said in enumerate(("", "first", "later"))]
        take_drop_off(session, desk.event.id, desk.form(*racquets), acting=make.acting("Mon 12:00"))
    folder = written(database, tmp_path / "out", "hurried")
    other = Database(f"sqlite:///{tmp_path}/other.sqlite")
    other.upgrade()
    stored(other, folder)
    with other.reading() as session:
        assert session.scalars(select(Job.matters).order_by(Job.serial)).all() == ["", "first", "later"]
    assert [row.values["matters"] for row in read_event(folder).tables["dropoffs"]] == ["", "first", "later"]


def test_its_tables_are_those_it_was_imported_from(riverside, tmp_path: Path) -> None:
    folder = written(riverside.database, tmp_path / "out", "riverside-one-day")
    (folder / SO_FAR).unlink()
    again, first = read_event(folder), read_event("sample_events/riverside-one-day")
    for name in ("event", "days", "courts", "players", "machines", "shifts", "frames", "strings", "prices", "matches"):
        assert [row.values for row in again.tables[name]] == [row.values for row in first.tables[name]], name
    assert len(again.tables["dropoffs"]) == len(first.tables["dropoffs"])


def test_it_comes_back_on_another_kind_of_database(small: Path, database: Database, postgres: Database) -> None:
    stored(postgres, small)
    assert everything(postgres, "small") == everything(database, "small")


def test_a_second_copy_in_the_same_records_has_links_of_its_own(small: Path, database: Database) -> None:
    settings = small / "event.toml"
    settings.write_text(settings.read_text().replace('"small"', '"smaller"').replace("Testfield", "Otherfield"))
    assert stored(database, small) == "smaller"
    with database.reading() as session:
        one, two = session.scalars(select(Event).order_by(Event.id))
        assert two.name == "Otherfield Open"
        for table in (Player, Contact):
            first, second = (session.scalars(select(table.token).where(table.event_id == e.id)) for e in (one, two))
            assert not set(first) & set(second)
        redo = session.scalars(select(Job).where(Job.event_id == two.id, Job.redo_of_id.is_not(None))).one()
        assert session.get_one(Job, redo.redo_of_id).event_id == two.id
        waits = session.scalars(select(MatchSide).where(MatchSide.winner_of_id.is_not(None))).all()
        assert [session.get_one(Match, side.winner_of_id).event_id for side in waits] == [one.id, two.id]


def test_the_same_event_twice_is_refused(small: Path, database: Database) -> None:
    with pytest.raises(Conflict, match="Change the slug"):
        stored(database, small)


def test_a_table_changed_by_hand_is_not_passed_over(small: Path, database: Database) -> None:
    with (small / "players.csv").open("a") as players:
        players.write("P99,Late Entry,,\n")
    with pytest.raises(Conflict, match=f"Delete {SO_FAR}"):
        stored(database, small)


def test_the_folder_is_for_its_owner(small: Path) -> None:
    assert stat.S_IMODE(small.stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in small.iterdir()} == {0o600}


def test_nothing_is_written_over(small: Path, database: Database) -> None:
    with pytest.raises(Conflict, match="not empty"):
        written(database, small, "small")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda rows: rows["job"][0].update(player_id=99), "job row 1, player_id: found 99"),
        (lambda rows: rows["job"][0].update(serial="one"), "job row 1, serial: found 'one'"),
        (lambda rows: rows["job"][0].update(dropped_at="yesterday"), "job row 1, dropped_at"),
        (lambda rows: rows["job"][0].update(dropped_at="2031-05-12T09:00:00"), "a time with its zone"),
        (lambda rows: rows["job"][0].update(surprise=1), "no such column"),
        (lambda rows: rows["job_card"][0].update(mains_tension="tight"), "a decimal number"),
        (lambda rows: rows["player"][0].update(name="a\x00b"), "a text"),
        (lambda rows: rows["player"][0].update(code=None), "does not fit together"),
        (lambda rows: rows.update(job="all"), "no list of rows"),
    ],
)
def test_a_file_changed_by_hand_is_refused_with_its_place(small: Path, tmp_path: Path, change, told: str) -> None:
    content = json.loads((small / SO_FAR).read_text())
    change(content["rows"])
    (small / SO_FAR).write_text(json.dumps(content))
    fresh = Database(f"sqlite:///{tmp_path}/fresh.sqlite")
    fresh.upgrade()
    with pytest.raises(BadInput) as refused:
        stored(fresh, small)
    assert told in "\n".join([str(refused.value), *map(str, refused.value.faults)])
    with fresh.reading() as session:
        assert session.scalars(select(Event)).all() == []


def test_every_column_that_numbers_a_row_is_known() -> None:
    names = [c for table in [EVENT, *tables_of_event()] for c in table.columns if c.name.endswith("_id")]
    assert [str(c) for c in names if target_of(c) is None and c.name != "current_run_id"] == []


def test_every_table_is_of_the_event_or_left_out_by_name() -> None:
    assert {*LEFT_OUT, "event", *(table.name for table in tables_of_event())} == set(Base.metadata.tables)
