import json
from pathlib import Path
from zipfile import ZipFile

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from desk.cli import main
from desk.models import StateChange
from desk.models.database import Database
from tests import make

pytestmark = pytest.mark.slow


@pytest.fixture
def desk(database: Database):
    """Run a command over records with one event of three days and one racquet strung on its Tuesday."""
    with database.writing() as session:
        event = make.make_event(session, slug="testfield")
        make.set_clock(event, "Tue 20:00")
        player = make.make_player(session, event, name="Alma Arden")
        job = make.make_job(
            session,
            player,
            dropped_at=make.moment("Tue 09:00"),
            state="strung",
            stringer_id=make.make_stringer(session, event).id,
            machine_id=make.make_machine(session, event).id,
            started_at=make.moment("Tue 10:00"),
            finished_at=make.moment("Tue 10:20"),
        )
        change = {"by": "Stringer 1", "from_state": "on_machine", "to_state": "strung"}
        session.add(StateChange(job_id=job.id, at=make.moment("Tue 10:20"), **change))

    def run(*words: str):
        return CliRunner().invoke(main, ["--database", database.url, "export", *words])

    return run


@pytest.mark.parametrize("day", ["2031-05-13", "Tue", "2"])
def test_export_writes_the_workbook_of_a_day_however_the_day_is_named(desk, tmp_path: Path, day):
    out = tmp_path / "sheet.xlsx"
    result = desk(day, "--out", str(out))
    assert result.exit_code == 0, result.output
    assert "Testfield Open, Tuesday 13 May 2031, 1 racquet strung" in result.output
    cells = [[cell.value for cell in row] for row in load_workbook(out)["Summary"].iter_rows()]
    assert [row[1] for row in cells if row[0] == "Strung"] == [1]


def test_export_of_the_event_counts_the_days_that_have_begun(desk, tmp_path: Path):
    out = tmp_path / "sheet.json"
    assert desk("event", "--out", str(out)).exit_code == 0
    assert json.loads(out.read_text())["days"] == ["2031-05-12", "2031-05-13"]


def test_export_writes_the_tables_in_a_zip(desk, tmp_path: Path):
    out = tmp_path / "sheet.zip"
    assert desk("Tue", "--out", str(out), "--event", "testfield").exit_code == 0
    assert "Alma Arden" in ZipFile(out).read("jobs.csv").decode()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Tue", "--out", "{}/sheet.pdf"), "end it in .xlsx, .zip (CSV tables) or .json"),
        (("Fri", "--out", "{}/sheet.xlsx"), "is no day of Testfield Open; it runs from 2031-05-12 to 2031-05-14"),
        (("someday", "--out", "{}/sheet.xlsx"), '"someday" is no day'),
        (("Tue", "--out", "{}/none/sheet.xlsx"), "cannot be written"),
        (("Tue", "--out", "{}/sheet.xlsx", "--event", "other"), "There is no event 'other'; there are: testfield"),
    ],
)
def test_export_says_in_one_line_what_is_wrong(desk, tmp_path: Path, words, said):
    result = desk(*(word.format(tmp_path) for word in words))
    assert result.exit_code == 1
    assert said in result.output
    assert not list(tmp_path.glob("sheet*"))


def test_export_asks_which_event_where_there_are_two(desk, database: Database, tmp_path: Path):
    with database.writing() as session:
        make.make_event(session, slug="earlier")
    result = desk("Tue", "--out", str(tmp_path / "sheet.xlsx"))
    assert result.exit_code == 1
    assert "name one with --event" in result.output


def test_the_schema_defines_every_figure_of_the_summary():
    answer = CliRunner().invoke(main, ["schema"])
    summary = json.loads(answer.output)["$defs"]["Summary"]["properties"]
    assert "racquets whose needed-by time came" in summary["with_needed_by"]["description"]
    assert all(one.get("description") for one in summary.values())
