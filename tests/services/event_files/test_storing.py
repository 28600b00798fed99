"""An event that was read is stored whole, or not at all."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from werkzeug.security import check_password_hash

from desk.errors import Conflict
from desk.models import (
    Court,
    DropOff,
    Event,
    Frame,
    HouseTime,
    LogEntry,
    Machine,
    MachineCheck,
    Match,
    Player,
    Price,
    Reel,
    ReelEntry,
    Stringer,
    StringType,
)
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import SO_FAR, read_event, store_event
from desk.services.event_files import write_event as write_so_far
from desk.services.event_files.tables.spec import Row
from desk.trade.bench.care_intervals import DEFAULTS
from tests.services.event_files.files import write_event

SAMPLES = Path(__file__).parents[3] / "sample_events"
ACTING = Acting(by="lead", at=datetime(2031, 5, 16, 18, 0, tzinfo=UTC))


def test_a_small_event_is_stored_with_all_its_rows(any_database: Database) -> None:
    files = read_event(SAMPLES / "riverside-one-day")
    with any_database.writing() as session:
        store_event(session, files, acting=ACTING)
    tables = {
        "days": Event.days.property.mapper.class_,
        "courts": Court,
        "players": Player,
        "machines": Machine,
        "stringers": Stringer,
        "frames": Frame,
        "strings": StringType,
        "reels": Reel,
        "prices": Price,
        "matches": Match,
    }
    with any_database.reading() as session:
        stored = {name: session.scalar(select(func.count(table.id))) for name, table in tables.items()}
        assert stored == {name: len(files.tables[name]) for name in tables}
        assert session.scalars(select(DropOff)).all() == []


def test_settings_and_hours_are_those_of_the_files(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        event = session.scalars(select(Event)).one()
        assert (event.currency, event.tax_basis_points, event.target_minutes) == ("GBP", 2000, 30)
        # The event's zone is an hour ahead of UTC in May.
        assert event.days[0].opens_at == datetime(2031, 5, 17, 6, 0, tzinfo=UTC)
        stringer = session.scalars(select(Stringer).where(Stringer.code == "S1")).one()
        assert [shift.from_at.hour for shift in stringer.shifts] == [6, 10]


def test_what_is_on_a_reel_is_its_opening_entry(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        reel = session.scalars(select(Reel).where(Reel.code == "R4")).one()
        assert reel.owner is not None
        assert (reel.owner.code, reel.string_type.code) == ("P09", "WEIR125")
        assert [(entry.kind, entry.metres) for entry in reel.entries] == [("opening", 96.0)]
        assert len(session.scalars(select(ReelEntry)).all()) == len(session.scalars(select(Reel)).all())


def test_what_string_cost_and_what_a_stringer_is_paid_come_and_go_with_the_files(database: Database, tmp_path) -> None:
    with database.writing() as session:
        event = store_event(session, read_event(SAMPLES / "harbour-week"), acting=ACTING)
        reel = session.scalars(select(Reel).where(Reel.code == "R01")).one()
        assert reel.price_minor == 17_000
        reel.entries.append(ReelEntry(at=ACTING.at, by="bench", kind="use", metres=-50.0))
        paid = select(Stringer.code, Stringer.rate_minor, Stringer.rate_per).order_by(Stringer.position)
        paid_first = [("S1", 700, "racquet"), ("S2", 700, "racquet"), ("S3", 1850, "hour"), ("S4", 1850, "hour")]
        assert session.execute(paid).all() == paid_first
        session.flush()
        write_so_far(session, event, tmp_path / "out")
    (tmp_path / "out" / SO_FAR).unlink()
    again = read_event(tmp_path / "out")
    assert [(row["code"], row["rate"], row["rate_per"]) for row in again.tables["stringers"]] == paid_first
    (row,) = (row for row in again.tables["reels"] if row["code"] == "R01")
    assert (row["metres"], row["price"]) == (150.0, 12_750)  # what is left of it, and what that cost


def test_a_frame_keeps_the_printed_range_and_a_price_its_minor_units(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        frame = session.scalars(select(Frame).where(Frame.code == "ANVIL97")).one()
        assert (frame.tension_low, frame.tension_high, frame.tension_unit) == (Decimal(50), Decimal(60), "lb")
        assert session.scalar(select(Price.amount_minor).where(Price.kind == "labour")) == 1800


def test_a_match_of_earlier_winners_points_to_their_matches(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        codes = {match.id: match.code for match in session.scalars(select(Match))}
        match = session.scalars(select(Match).where(Match.code == "M9")).one()
        sides = [(side.side, side.player_id, codes[side.winner_of_id or 0]) for side in match.sides]
        assert sides == [(1, None, "M1"), (2, None, "M3")]


def test_every_player_gets_a_token_of_their_own(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        players = session.scalars(select(Player)).all()
        assert len({player.token for player in players}) == len(players)
        assert min(len(player.token) for player in players) >= 22
        assert "nuno belvares" in {player.search_name for player in players}


def test_a_pin_is_stored_as_a_hash_and_house_times_as_the_leads_own(database: Database, tmp_path: Path) -> None:
    folder = write_event(
        tmp_path,
        stringers="code,name,home_machine,pace,pin\nS1,Bo Karrel,M1,95,0412\n",
        house_times='key,minutes\n"dense, half gut",31\n',
    )
    with database.writing() as session:
        store_event(session, read_event(folder), acting=ACTING)
    with database.reading() as session:
        stringer = session.scalars(select(Stringer)).one()
        assert (stringer.pace, check_password_hash(stringer.pin_hash, "0412")) == (95, True)
        house_time = session.scalars(select(HouseTime)).one()
        assert (house_time.key, house_time.minutes, house_time.by) == ("dense, half gut", 31, "lead")


@pytest.mark.parametrize(
    ("table", "stored"),
    [
        (None, None),
        (
            'name,every_racquets,every_hours,machine,note\nJaws,90,,,"unplug first"\nJaws,,40,M1,\n',
            [("Jaws", 90, None, False, "unplug first"), ("Jaws", None, 40, True, "")],
        ),
    ],
)
def test_checks_of_machines_are_the_file_s_or_the_usual_ones(
    database: Database, tmp_path: Path, table: str | None, stored: list[tuple] | None
) -> None:
    folder = write_event(tmp_path, **({} if table is None else {"machine_checks": table}))
    with database.writing() as session:
        store_event(session, read_event(folder), acting=ACTING)
    with database.reading() as session:
        rows = session.scalars(select(MachineCheck).order_by(MachineCheck.id)).all()
        found = [(one.name, one.every_racquets, one.every_hours, one.machine_id is not None, one.note) for one in rows]
        usual = [(one.name, one.every_racquets, one.every_hours, False, one.note) for one in DEFAULTS]
        assert found == (stored or usual)


def test_a_store_that_fails_leaves_nothing_even_where_the_caller_goes_on(database: Database, tmp_path: Path) -> None:
    files = read_event(write_event(tmp_path))
    broken = replace(
        files, tables={**files.tables, "reels": (Row(2, {**files.tables["reels"][0].values, "code": None}),)}
    )
    with database.writing() as session:
        with pytest.raises(IntegrityError):
            store_event(session, broken, acting=ACTING)
        store_event(session, files, acting=ACTING)
    with database.reading() as session:
        assert session.scalar(select(func.count(Event.id))) == 1
        assert session.scalar(select(func.count(Player.id))) == 4


def test_the_import_stands_in_the_log(database: Database) -> None:
    with database.writing() as session:
        store_event(session, read_event(SAMPLES / "riverside-one-day"), acting=ACTING)
    with database.reading() as session:
        entry = session.scalars(select(LogEntry)).one()
        assert entry.text == (
            "Riverside One-Day Open imported: days 1, courts 3, machines 2, stringers 2, players 16, frames 4, "
            "strings 4, reels 8, matches 10, shifts 4, prices 8"
        )


def test_a_second_import_is_refused_and_leaves_the_first_as_it_was(database: Database) -> None:
    files = read_event(SAMPLES / "riverside-one-day")
    with database.writing() as session:
        store_event(session, files, acting=ACTING)
    with pytest.raises(Conflict, match="in the records already"), database.writing() as session:
        store_event(session, files, acting=ACTING)
    with database.reading() as session:
        assert session.scalar(select(func.count(Player.id))) == 16
