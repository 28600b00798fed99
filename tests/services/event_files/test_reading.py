"""Folders and workbooks of every reasonable make give the same event."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from desk.services.event_files import read_event
from desk.services.event_files.cells.trade_cells import NeededBy, Side
from desk.services.event_files.workbook import value_text
from tests.services.event_files.files import FILES, SAMPLES, raw_rows, workbook_of, write_event


@pytest.mark.parametrize("folder", sorted(path.name for path in SAMPLES.iterdir() if path.is_dir()))
def test_a_workbook_gives_the_same_event_as_its_folder(folder: str, tmp_path: Path) -> None:
    workbook_of(SAMPLES / folder).save(tmp_path / "event.xlsx")
    assert raw_rows(read_event(tmp_path / "event.xlsx")) == raw_rows(read_event(SAMPLES / folder))


def test_times_are_those_of_the_events_zone(tmp_path: Path) -> None:
    days = read_event(write_event(tmp_path)).tables["days"]
    assert days[1]["opens"] == datetime(2031, 5, 13, 6, 0, tzinfo=UTC)
    assert days[1]["closes"] == datetime(2031, 5, 13, 22, 30, tzinfo=UTC)


def test_cells_that_are_empty_or_left_out_get_their_default(tmp_path: Path) -> None:
    files = read_event(write_event(tmp_path, matches=None))
    drop_off = files.tables["dropoffs"][0]
    assert (drop_off["pieces"], drop_off["own_string"], drop_off["needed_by"]) == (2, (), NeededBy("match"))
    assert (files.settings["lead_minutes"], files.settings["board_names"]) == (30, "full")
    assert files.tables["matches"] == ()


def test_sides_are_players_pairs_or_winners(tmp_path: Path) -> None:
    matches = FILES["matches.csv"] + "C,2031-05-13,Court 2,1,doubles,not_before,14:00,P1 / P2,P3/P4\n"
    rows = read_event(write_event(tmp_path, matches=matches)).tables["matches"]
    assert (rows[1]["side1"], rows[1]["side2"]) == (Side(winner_of="A"), Side(("P3",)))
    assert (rows[2]["side1"], rows[2]["side2"]) == (Side(("P1", "P2")), Side(("P3", "P4")))


@pytest.mark.parametrize(
    "content",
    [
        "code,name\nP1,Ilka Torvane\nP2,Odile Mereldi\nP3,Runa Kostavek\nP4,Petra Ulbrenn",
        "\ufeffcode,name\r\nP1,Ilka Torvane\r\nP2,Odile Mereldi\r\nP3,Runa Kostavek\r\nP4,Petra Ulbrenn\r\n",
        "code;name\nP1;Ilka Torvane\nP2;Odile Mereldi\nP3;Runa Kostavek\nP4;Petra Ulbrenn\n",
        "code\tname\nP1\tIlka Torvane\nP2\tOdile Mereldi\nP3\tRuna Kostavek\nP4\tPetra Ulbrenn\n",
        '# the field,\nName , CODE\n"Ilka Torvane",P1\n\nOdile Mereldi,P2\nRuna Kostavek,P3\nPetra Ulbrenn,P4,\n',
    ],
    ids=["no-final-newline", "bom-and-crlf", "semicolons", "tabs", "comment-blank-line-other-order"],
)
def test_csv_files_of_other_programs_are_read(content: str, tmp_path: Path) -> None:
    players = read_event(write_event(tmp_path, players=content)).tables["players"]
    assert [(row["code"], row["name"]) for row in players] == [
        ("P1", "Ilka Torvane"),
        ("P2", "Odile Mereldi"),
        ("P3", "Runa Kostavek"),
        ("P4", "Petra Ulbrenn"),
    ]


def test_a_decimal_comma_is_read_where_semicolons_separate(tmp_path: Path) -> None:
    dropoffs = FILES["dropoffs.csv"].replace(",", ";").replace("52.5 lb", "52,5 lb")
    rows = read_event(write_event(tmp_path, dropoffs=dropoffs)).tables["dropoffs"]
    assert rows[0]["mains_tension"].display() == "52.5 lb"


def test_two_players_of_one_name_are_told_apart_by_their_codes(tmp_path: Path) -> None:
    players = FILES["players.csv"] + "P5,Ilka Torvane\n"
    rows = read_event(write_event(tmp_path, players=players)).tables["players"]
    assert [row["code"] for row in rows if row["name"] == "Ilka Torvane"] == ["P1", "P5"]


def test_real_dates_times_and_numbers_of_a_workbook_are_read_as_such(tmp_path: Path) -> None:
    book = workbook_of(write_event(tmp_path))
    days, drop_offs = book["days"], book["dropoffs"]
    days["A2"], days["B2"], days["C2"] = date(2031, 5, 12), time(8, 0), datetime(2031, 5, 12)
    days["C2"] = timedelta(hours=24, minutes=30)
    drop_offs["A2"], drop_offs["B2"], drop_offs["D2"] = datetime(2031, 5, 12), time(8, 30), 1.0
    book.save(tmp_path / "event.xlsx")
    files = read_event(tmp_path / "event.xlsx")
    assert files.tables["days"][0]["closes"] == datetime(2031, 5, 12, 22, 30, tzinfo=UTC)
    assert files.tables["dropoffs"] == read_event(tmp_path).tables["dropoffs"]


def test_a_sheet_of_notes_is_passed_over(tmp_path: Path) -> None:
    book = workbook_of(write_event(tmp_path))
    book.create_sheet("#to do")["A1"] = "ask the referee"
    book.save(tmp_path / "event.xlsx")
    assert raw_rows(read_event(tmp_path / "event.xlsx")) == raw_rows(read_event(tmp_path))


@given(st.times().map(lambda moment: moment.replace(second=0, microsecond=0)))
def test_a_time_of_a_workbook_reads_as_hours_and_minutes(moment: time) -> None:
    assert value_text(moment) == f"{moment:%H:%M}"
    assert value_text(timedelta(hours=moment.hour, minutes=moment.minute)) == f"{moment:%H:%M}"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (52.5, "52.5"),
        (12.0, "12"),
        (0.1 + 0.2, "0.3"),
        (True, "yes"),
        (None, ""),
        (" P1\xa0", "P1"),
        (date(2031, 5, 12), "2031-05-12"),
        (datetime(2031, 5, 12, 14, 5), "2031-05-12 14:05"),
        (time(14, 5, 30), "14:05:30"),
    ],
)
def test_a_value_of_a_workbook_reads_as_its_text(value: object, text: str) -> None:
    assert value_text(value) == text


@pytest.mark.parametrize(
    ("currency", "amount"), [("EUR", "20.50"), ("JPY", "2050"), ("KWD", "2.050"), ("RSD", "20.50")]
)
def test_prices_are_in_minor_units_of_the_events_currency(tmp_path: Path, currency: str, amount: str) -> None:
    event = FILES["event.toml"].replace("EUR", currency)
    prices = f"kind,string,per,amount\nlabour,,job,{amount}\n"
    (price,) = read_event(write_event(tmp_path, event=event, prices=prices)).tables["prices"]
    assert price["amount"] == 2050


@pytest.mark.parametrize(
    ("cell", "halves"),
    [("yes", ("mains", "crosses")), ("no", ()), ("Mains", ("mains",)), ("crosses", ("crosses",))],
)
def test_own_string_may_be_one_half(tmp_path: Path, cell: str, halves: tuple[str, ...]) -> None:
    rows = "day,time,player,racquet,frame,mains_string,mains_tension,own_string\n"
    rows += f"2031-05-12,08:30,P1,1,F1,X1,52.5 lb,{cell}\n"
    (row,) = read_event(write_event(tmp_path, dropoffs=rows)).tables["dropoffs"]
    assert row["own_string"] == halves
