"""All faults are told at once: like ones together, none that follows from another."""

from pathlib import Path

import pytest

from desk.errors import BadInput, InputFault, gathered
from desk.services.event_files import read_event
from tests.services.event_files.files import EVENT, FILES, changed, faults_of, write_event


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
