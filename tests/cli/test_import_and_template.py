"""Importing an event and writing an empty one at the prompt."""

from datetime import UTC, datetime
from pathlib import Path

from click.testing import CliRunner, Result
from sqlalchemy import func, select

from desk.cli import main
from desk.models import Event, Player, Price
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.money.prices import PriceForm, set_price
from tests.services.event_files.files import FILES, write_event


def run(database: Database, *words: str) -> Result:
    return CliRunner().invoke(main, ["--database", database.url, *words])


def test_an_event_is_imported_and_its_short_name_told(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    result = run(database, "import", str(write_event(folder)))
    assert (result.exit_code, result.output.splitlines()) == (
        0,
        [
            'Imported Testfield Open; its short name is "testfield".',
            "Taken in: days 2, courts 2, machines 1, stringers 1, players 4, frames 2, strings 2, reels 1, matches 2, "
            "shifts 2.",
            "Not taken in: dropoffs 2. They are the script of a day that `day` and `demo` play.",
            "Take racquets in at Drop-off, where a sheet of many can be sent too.",
            "Next: python -m desk serve",
        ],
    )
    with database.reading() as session:
        assert session.scalars(select(Event.slug)).all() == ["testfield"]


def test_what_the_days_rules_would_refuse_is_said_after_the_import(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    dropoffs = FILES["dropoffs.csv"].replace("P1,2,F1", "P1,1,F1").replace("08:30,P1,1,F1,X1,23", "08:41,P1,1,F1,X1,23")
    result = run(database, "import", str(write_event(folder, dropoffs=dropoffs)))
    assert result.exit_code == 0
    assert result.output.splitlines()[-2].startswith(
        "dropoffs.csv row 3, column racquet: found racquet 1 of Ilka Torvane (P1), 11 min"
    )


def test_a_faulty_event_is_refused_with_its_faults_and_nothing_is_stored(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    write_event(folder, reels="code,string,metres\nR1,X1,-1\n", dropoffs=FILES["dropoffs.csv"].replace(" lb", ""))
    result = run(database, "import", str(folder))
    assert result.exit_code == 1
    assert result.output.splitlines() == [
        "Error: event has 2 faults; nothing was stored. Correct them and import again.",
        'reels.csv row 2, column metres: found "-1"; expected a number from 0 to 2000',
        'dropoffs.csv row 2, column mains_tension: found "52.5"; '
        'expected a tension with its unit, such as "52.5 lb" or "23.5 kg": a bare number may be either',
    ]
    with database.reading() as session:
        assert session.scalars(select(Event)).all() == []


def test_an_event_imported_twice_is_refused_in_one_line(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    run(database, "import", str(write_event(folder)))
    result = run(database, "import", str(folder))
    assert (result.exit_code, result.output.count("\n")) == (1, 1)
    assert 'There is an event "testfield" in the records already.' in result.output
    assert "`import --again`" in result.output


def test_what_a_price_list_leaves_out_is_said(database: Database, tmp_path: Path) -> None:
    prices = "kind,string,per,amount\nlabour,,job,18\nstring,X1,set,12\n"
    (tmp_path / "event").mkdir()
    said = run(database, "import", str(write_event(tmp_path / "event", prices=prices))).output
    assert "Without a price, and so free of charge: on court, extra work, stencil, string X2. Settings has" in said


def test_corrected_files_come_in_the_place_of_the_event(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    run(database, "import", str(write_event(folder)))
    write_event(folder, players=FILES["players.csv"].replace("Ilka Torvane", "Ilka Torvald"))
    result = run(database, "import", "--again", str(folder))
    assert result.exit_code == 0, result.output
    with database.reading() as session:
        assert session.scalars(select(Event.slug)).all() == ["testfield"]
        assert "Ilka Torvald" in session.scalars(select(Player.name)).all()


def test_what_was_entered_since_the_import_is_shown_before_it_goes(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    run(database, "import", str(write_event(folder)))
    with database.writing() as session:
        event = session.scalars(select(Event)).one()
        form = PriceForm(kind="labour", amount_minor=1800)
        set_price(session, event.id, form, acting=Acting(by="lead", at=datetime(2031, 5, 11, 8, tzinfo=UTC)))
    words = ["--database", database.url, "import", "--again", str(folder)]
    refused = CliRunner().invoke(main, words, input="n\n")
    assert (refused.exit_code, "  Price of " in refused.output, "(1 change would be gone)" in refused.output) == (
        (1, True, True)
    )
    with database.reading() as session:
        assert session.scalar(select(func.count(Price.id))) == 1
    assert CliRunner().invoke(main, words, input="y\n").exit_code == 0
    with database.reading() as session:
        assert session.scalar(select(func.count(Price.id))) == 0


def test_a_template_is_written_but_never_over_a_file(database: Database, tmp_path: Path) -> None:
    file = tmp_path / "open.xlsx"
    assert run(database, "template", str(file)).exit_code == 0
    written = file.read_bytes()
    again = run(database, "template", str(file))
    assert (again.exit_code, "is there already" in again.output) == (1, True)
    assert file.read_bytes() == written


def test_a_template_needs_a_name_of_a_workbook_in_a_folder_that_is_there(database: Database, tmp_path: Path) -> None:
    assert "end it in .xlsx" in run(database, "template", str(tmp_path / "open.csv")).output
    assert "cannot be written" in run(database, "template", str(tmp_path / "nowhere" / "open.xlsx")).output


def test_an_event_goes_out_as_a_folder_and_comes_back(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    run(database, "import", str(write_event(folder)))
    out = run(database, "export-event", "testfield", "--out", str(tmp_path / "out"))
    assert (out.exit_code, out.output.splitlines()[0].startswith("Testfield Open is in")) == (0, True)
    again = run(database, "import", str(tmp_path / "out"))
    assert (again.exit_code, "Change the slug" in again.output) == (1, True)
    settings = tmp_path / "out" / "event.toml"
    settings.write_text(settings.read_text().replace('"testfield"', '"again"'))
    assert run(database, "import", str(tmp_path / "out")).output.endswith('its short name is "again".\n')
    with database.reading() as session:
        assert session.scalars(select(Event.slug).order_by(Event.id)).all() == ["testfield", "again"]
