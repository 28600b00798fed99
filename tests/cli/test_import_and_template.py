"""Importing an event and writing an empty one at the prompt."""

from pathlib import Path

from click.testing import CliRunner, Result
from sqlalchemy import select

from desk.cli import main
from desk.models import Event
from desk.models.database import Database
from tests.services.event_files.files import FILES, write_event


def run(database: Database, *words: str) -> Result:
    return CliRunner().invoke(main, ["--database", database.url, *words])


def test_an_event_is_imported_and_its_short_name_told(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    result = run(database, "import", str(write_event(folder)))
    assert (result.exit_code, result.output) == (0, 'Imported Testfield Open; its short name is "testfield".\n')
    with database.reading() as session:
        assert session.scalars(select(Event.slug)).all() == ["testfield"]


def test_what_the_days_rules_would_refuse_is_said_after_the_import(database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "event"
    folder.mkdir()
    dropoffs = FILES["dropoffs.csv"].replace("P1,2,F1", "P1,1,F1").replace("08:30,P1,1,F1,X1,23", "08:41,P1,1,F1,X1,23")
    result = run(database, "import", str(write_event(folder, dropoffs=dropoffs)))
    assert (result.exit_code, len(result.output.splitlines())) == (0, 3)
    assert result.output.splitlines()[2].startswith("dropoffs.csv row 3, column racquet: found racquet 1 of P1, 11 min")


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
