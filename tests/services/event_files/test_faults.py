"""Bad input is refused with every fault: where, what was found, what is expected."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from desk.errors import BadInput
from desk.services.event_files import read_event
from tests.services.event_files.files import EVENT, FILES, faults_of, write_event


def test_an_empty_file_is_refused_with_the_columns_it_needs(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, courts=""))
    assert faults[0] == "courts.csv: found nothing in it; expected a header row: name"


def test_empty_settings_are_refused(tmp_path: Path) -> None:
    assert faults_of(write_event(tmp_path, event=""))[0] == (
        "event.toml: found nothing in it; expected the event's settings"
    )


def test_a_median_changeover_below_the_least_is_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(write_event(tmp_path, event=EVENT + "between_least_minutes = 30\n"))
    assert fault.endswith('found "23"; expected at least between_least_minutes, 30')


def test_a_missing_table_is_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(write_event(tmp_path, strings=None))
    assert fault.endswith(": found no table strings; expected The strings, those that players bring among them.")


def test_a_required_table_without_rows_is_refused(tmp_path: Path) -> None:
    assert faults_of(write_event(tmp_path, stringers="code,name\n", shifts="stringer,day,from,to\n")) == [
        "stringers.csv: found no rows below the header; expected Those who string.",
        "shifts.csv: found no rows below the header; "
        "expected When a stringer works; a break is the gap between two shifts.",
    ]


def test_a_missing_column_is_one_fault_of_the_header(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, machines="code,name\nM1,Bench 1\nM2,Bench 2\n"))
    assert faults == [
        "machines.csv row 1: found no column kind; expected it: How it pulls: constant_pull, lockout or drop_weight, "
        'such as "constant_pull"'
    ]


def test_an_unknown_column_is_refused(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, courts="name,surface\nCourt 1,clay\nCourt 2,clay\n"))
    assert faults == ['courts.csv row 1: found an unknown column "surface"; expected only the columns name']


def test_a_column_that_comes_twice_is_refused(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, courts="name,Name\nCourt 1,x\nCourt 2,x\n"))
    assert 'courts.csv row 1: found the column "name" twice; expected it once' in faults


def test_a_table_of_an_unknown_name_is_refused(tmp_path: Path) -> None:
    folder = write_event(tmp_path)
    (folder / "playrs.csv").write_text("code,name\n")
    (fault,) = faults_of(folder)
    assert fault.startswith("playrs.csv: found a table of an unknown name; expected only the tables days, courts,")


def test_a_file_in_another_encoding_is_refused_with_what_to_do(tmp_path: Path) -> None:
    players = (FILES["players.csv"] + "P5,Nuño Belvarés\n").encode("latin-1")
    assert faults_of(write_event(tmp_path, players=players))[0] == (
        "players.csv: found bytes that are not UTF-8 in line 6; "
        'expected text in UTF-8: in a spreadsheet choose "CSV UTF-8" when saving'
    )


def test_a_row_with_too_many_cells_is_refused(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, reels="code,string,metres\nR1,X1,143,5\n"))
    assert faults == [
        "reels.csv row 2: found 4 cells; expected 3 as in the header row; "
        "a cell with the separator in it goes in quotes"
    ]


def test_an_open_quote_is_refused(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, courts='name\nCourt 1\n"Court 2\n'))
    assert faults[0].startswith("courts.csv row 3: found unexpected end of data; expected quotes closed")


def test_a_place_with_no_event_is_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path / "nowhere")
    assert fault.endswith(
        "nowhere: found nothing there; expected a folder with event.toml and CSV tables, or a workbook (.xlsx)"
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_stands_in_a_cell_the_answer_is_an_event_or_its_faults(data: st.DataObject, tmp_path: Path) -> None:
    name = data.draw(st.sampled_from([name for name in FILES if name.endswith(".csv")]))
    rows = list(csv.reader(io.StringIO(FILES[name])))
    row = data.draw(st.sampled_from(rows))
    awkward = st.sampled_from(
        ["²", "٣", "1e9", "-0", "NaN", "9999-12-31", "day 366", "29:59", "mon 29:59", "=1", "#", "/"]
    )
    row[data.draw(st.integers(0, len(row) - 1))] = data.draw(st.text(max_size=12) | awkward)
    content = io.StringIO()
    csv.writer(content).writerows(rows)
    folder = write_event(tmp_path, **{name.removesuffix(".csv"): content.getvalue().encode("utf-8", "replace")})
    try:
        assert read_event(folder).tables["event"]
    except BadInput as error:
        assert error.faults


@pytest.mark.slow
def test_ten_thousand_rows_are_read_with_the_fault_in_the_last(tmp_path: Path) -> None:
    rows = [f"2031-05-12,08:30,P{n % 4 + 1},{n % 99 + 1},F1,X1,52.5 lb" for n in range(10_000)]
    times = [row.replace("08:30", f"{8 + n // 1200:02}:{n // 20 % 60:02}") for n, row in enumerate(rows)]
    header = FILES["dropoffs.csv"].splitlines()[0]
    folder = write_event(tmp_path, dropoffs="\n".join([header, *times]))
    assert len(read_event(folder).tables["dropoffs"]) == 10_000
    (folder / "dropoffs.csv").write_text("\n".join([header, *times[:-1], times[-1].replace("52.5 lb", "52.5")]))
    assert faults_of(folder)[0].startswith('dropoffs.csv row 10001, column mains_tension: found "52.5"')


def test_a_note_of_a_damaged_frame_without_an_answer_is_refused(tmp_path: Path) -> None:
    """A table from before there was a column for the answer is read, unless its notes speak of damage."""
    dropoffs = (
        "day,time,player,racquet,frame,mains_string,mains_tension,found\n"
        "2031-05-12,08:30,P1,1,F1,X1,52.5 lb,paint chipped\n2031-05-12,08:30,P1,2,F1,X1,52.5 lb,split at the throat\n"
    )
    assert faults_of(write_event(tmp_path, dropoffs=dropoffs)) == [
        "dropoffs.csv row 3, column frame_check: found no answer beside the note “split at the throat”; expected "
        "sound, worn or cracked: a note alone decides nothing; where the table has no column frame_check, add it"
    ]
    answered = dropoffs.replace("tension,found", "tension,frame_check,found")
    answered = answered.replace("lb,paint", "lb,,paint").replace("lb,split", "lb,cracked,split")
    read_event(write_event(tmp_path, dropoffs=answered))
