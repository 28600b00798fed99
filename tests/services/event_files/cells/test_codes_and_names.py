"""Rows named by code or by name: found, nearly right, or named twice."""

from pathlib import Path

from desk.services.event_files import read_event
from tests.services.event_files.files import FILES, changed, faults_of, write_event


def test_a_code_that_two_players_share_is_refused_with_what_to_do(tmp_path: Path) -> None:
    faults = faults_of(write_event(tmp_path, players=FILES["players.csv"] + "P1,Ilka Torvane\n"))
    assert faults == [
        'players.csv row 6, column code: found "P1" again after row 2; expected each code once: if these are two '
        "players, also of one name, give the second a code of their own; if it is one player, delete a row"
    ]


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
