"""Bad input is refused with every fault: where, what was found, what is expected."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from desk.errors import BadInput, InputFault, gathered
from desk.services.event_files import read_event
from tests.services.event_files.files import EVENT, FILES, faults_of, write_event


def changed(name: str, old: str, new: str) -> str:
    """Return a file of the small event with OLD, which it must hold, replaced."""
    assert old in FILES[name]
    return FILES[name].replace(old, new)


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


@pytest.mark.parametrize(
    ("tension", "found", "expected"),
    [
        ("52.5", '"52.5"', 'a tension with its unit, such as "52.5 lb" or "23.5 kg": a bare number may be either'),
        ("-52 lb", '"-52 lb"', 'a tension with its unit, such as "52.5 lb" or "23.5 kg": a bare number may be either'),
        ("52 kg", '"52 kg"', "a tension from 7.5 to 40 kg (did you mean 52 lb?)"),
        ("", "nothing", 'tension of the mains with its unit, such as "52.5 lb"'),
    ],
)
def test_a_tension_is_refused_without_unit_or_out_of_range(
    tension: str, found: str, expected: str, tmp_path: Path
) -> None:
    faults = faults_of(write_event(tmp_path, dropoffs=changed("dropoffs.csv", "52.5 lb", tension)))
    assert faults == [f"dropoffs.csv row 2, column mains_tension: found {found}; expected {expected}"]


def test_a_negative_length_is_refused(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, reels="code,string,metres\nR1,X1,-200\n"))
    assert faults == ['reels.csv row 2, column metres: found "-200"; expected a number from 0 to 2000']


def test_a_time_that_the_clock_change_skips_is_refused_with_the_reason(tmp_path: Path) -> None:
    # In Vienna the clocks go from 02:00 to 03:00 on 30 March 2031 (last Sunday of March, EU directive 2000/84/EC).
    days = FILES["days.csv"] + "2031-03-30,02:30,20:00\n"
    assert faults_of(write_event(tmp_path, days=days)) == [
        'days.csv row 4, column opens: found "02:30" (02:30 does not exist on 2031-03-30: the clock goes forward '
        "then); expected 03:30 or later"
    ]


def test_a_code_that_two_players_share_is_refused_with_what_to_do(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, players=FILES["players.csv"] + "P1,Ilka Torvane\n"))
    assert faults == [
        'players.csv row 6, column code: found "P1" again after row 2; expected each code once: if these are two '
        "players, also of one name, give the second a code of their own; if it is one player, delete a row"
    ]


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


def test_every_fault_of_every_file_is_listed_at_once(tmp_path: Path) -> None:
    folder = write_event(
        tmp_path,
        event=EVENT.replace('"EUR"', '"QQQ"'),
        reels="code,string,metres\nR1,X1,-1\nR2,X9,5\n",
        dropoffs=FILES["dropoffs.csv"].replace("52.5 lb", "52").replace("23 kg", "23"),
    )
    assert sorted(fault.split(":")[0] for fault in faults_of(folder)) == [
        "dropoffs.csv row 2, column mains_tension",
        "dropoffs.csv row 3, column mains_tension",
        "event.toml, setting currency",
        "reels.csv row 2, column metres",
        "reels.csv row 3, column string",
    ]


def test_the_message_counts_the_faults_and_says_that_nothing_was_stored(tmp_path: Path) -> None:
    folder = write_event(tmp_path, courts="")
    with pytest.raises(BadInput, match=r"has 2 faults, in 3 places; nothing was stored"):
        read_event(folder)


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


def test_a_player_may_stand_by_name_where_the_code_is_asked_for(tmp_path: Path) -> None:
    dropoffs = FILES["dropoffs.csv"].replace(",P1,", ",ilka torvane,")
    matches = FILES["matches.csv"].replace("P1", "Ilka Torvane")
    files = read_event(write_event(tmp_path, dropoffs=dropoffs, matches=matches))
    assert "P1" in {row["player"] for row in files.tables["dropoffs"]}
    assert "P1" in {
        code for row in files.tables["matches"] for side in (row["side1"], row["side2"]) for code in side.players
    }


def test_stringers_machines_frames_and_strings_may_stand_by_name(tmp_path: Path) -> None:
    players = "code,name,stringer,machine\n" + "".join(
        f"{row},bo karrel,Bench 1\n" for row in FILES["players.csv"].splitlines()[1:]
    )
    dropoffs = FILES["dropoffs.csv"].replace(",F1,X1,", ",Ostrel Larch 98,Corvel Talus,")
    files = read_event(write_event(tmp_path, players=players, dropoffs=dropoffs))
    assert {(row["stringer"], row["machine"]) for row in files.tables["players"]} == {("S1", "M1")}
    assert {(row["frame"], row["mains_string"]) for row in files.tables["dropoffs"]} == {("F1", "X1")}


def test_a_name_that_no_row_has_is_answered_with_the_codes(tmp_path: Path) -> None:
    shifts = changed("shifts.csv", "S1,2031-05-12,08:00", "Bo Karol,2031-05-12,08:00")
    assert faults_of(write_event(tmp_path, shifts=shifts)) == [
        'shifts.csv row 2, column stringer: found "Bo Karol"; expected a row of the table stringers: S1'
    ]


def test_a_name_of_two_players_is_answered_with_their_codes(tmp_path: Path) -> None:
    players = FILES["players.csv"] + "P9,Ilka Torvane\n"
    faults = faults_of(write_event(tmp_path, players=players, dropoffs=changed("dropoffs.csv", "P1", "Ilka Torvane")))
    assert faults[0].endswith('found "Ilka Torvane"; expected one of the codes of the players of this name: P1, P9')


def test_a_code_that_is_nearly_right_is_answered_with_the_right_one(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, dropoffs=changed("dropoffs.csv", "P1", "p01")))
    assert faults[0].endswith('found "p01"; expected a row of the table players (did you mean "P1"?)')


def test_like_faults_of_one_column_are_one_line() -> None:
    def fault(row: int, found: str) -> InputFault:
        return InputFault(where=f"dropoffs.csv row {row}, column day", found=found, expected="a day of the event")

    other = InputFault(where="courts.csv", found="nothing in it", expected="a header row")
    faults = [fault(2, '"x"'), other, *(fault(row, '"y"') for row in range(5, 41)), fault(50, '"z"'), fault(60, '"w"')]
    assert [str(one) for one in gathered(faults)] == [
        'dropoffs.csv rows 2, 5 to 40, 50 and 60, column day: found "x", "y", "z" and 1 other; '
        "expected a day of the event",
        str(other),
    ]


def test_two_like_faults_are_one_line_with_what_each_may_mean() -> None:
    def fault(row: int, found: str, meant: str) -> InputFault:
        expected = f"a tension from 7.5 to 40 kg (did you mean {meant}?)"
        return InputFault(where=f"a.csv row {row}, column mains_tension", found=found, expected=expected)

    assert [str(one) for one in gathered([fault(2, '"52 kg"', "52 lb"), fault(3, '"53 kg"', "53 lb")])] == [
        'a.csv rows 2 and 3, column mains_tension: found "52 kg", "53 kg"; '
        "expected a tension from 7.5 to 40 kg (did you mean 52 lb, 53 lb?)"
    ]


def with_dates(written: str) -> dict[str, str]:
    """Return the files of the small event with its first day written in another way."""
    return {
        name.removesuffix(".csv"): text.replace("2031-05-12", written)
        for name, text in FILES.items()
        if name.endswith(".csv")
    }


def test_a_date_refused_is_one_fault_with_all_rows_that_name_it(tmp_path: Path) -> None:
    folder = write_event(tmp_path, **with_dates("12.05.2031"))
    with pytest.raises(BadInput, match=r" has 1 fault, in 6 places; nothing was stored") as caught:
        read_event(folder)
    assert [str(fault) for fault in gathered(caught.value.faults)] == [
        "days.csv row 2, column date; shifts.csv rows 2 and 3, column day; matches.csv row 2, column day; "
        'dropoffs.csv rows 2 and 3, column day: found "12.05.2031"; '
        'expected a date written year-month-day, such as "2031-05-12"'
    ]


def test_rows_of_a_day_that_was_refused_are_neither_missed_nor_taken_for_one_another(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, days=changed("days.csv", "2031-05-12", "12 May")))
    assert [fault.split(":")[0] for fault in faults] == ["days.csv row 2, column date"]


def test_a_code_of_a_row_that_was_refused_is_not_missed_and_others_are(tmp_path: Path) -> None:
    players = changed("players.csv", "P3,", "P 3,")
    folder = write_event(tmp_path, players=players, matches=changed("matches.csv", "P1,P2", "P1,P9"))
    assert [fault.split(":")[0] for fault in faults_of(folder)] == [
        "players.csv row 4, column code",
        "matches.csv row 2, column side2",
    ]


def test_faults_stand_after_those_of_what_their_rows_name(tmp_path: Path) -> None:
    folder = write_event(
        tmp_path,
        event=EVENT.replace('"EUR"', '"QQQ"'),
        days=changed("days.csv", "20:00", "20 h"),
        players=changed("players.csv", "P4,", "P 4,"),
        stringers=changed("stringers.csv", ",M1", ",M9"),
        matches=changed("matches.csv", "P1,P2", "P1,P9"),
        dropoffs=changed("dropoffs.csv", "P1,1", "P1,0"),
    )
    assert [fault.split(".")[0] for fault in faults_of(folder)] == (
        ["event", "days", "stringers", "players", "matches", "dropoffs"]
    )
