"""What the days' own rules would refuse is said at import, and hinders nothing."""

from pathlib import Path

import pytest

from desk.services.event_files import read_event
from tests.services.event_files.files import write_event

HEAD = "day,time,player,racquet,frame,mains_string,mains_tension,own_string,consent\n"
FRAMES = "day,time,player,racquet,frame,mains_string,mains_tension,frame_check,found,consent\n"
RANGED = "code,name,mains,crosses,tension_low,tension_high\nF1,Ostrel Larch 98,16,19,48 lb,58 lb\n"
MATCHES = "code,day,court,position,format,start_kind,start,side1,side2\n"
ONE = "A,2031-05-12,Court 1,1,best_of_3_men,at,11:00,P1,P2\n"


def said(folder: Path, **over: str) -> list[str]:
    return [str(remark) for remark in read_event(write_event(folder, **over)).remarks]


def test_a_sound_event_has_nothing_to_look_at(tmp_path: Path) -> None:
    assert said(tmp_path) == []


@pytest.mark.parametrize(
    ("over", "remark"),
    [
        (
            {"frames": RANGED, "dropoffs": HEAD + "2031-05-12,08:30,P1,1,F1,X1,27 kg,,\n"},
            "dropoffs.csv row 2, column consent: found none for 27 kg on racquet 1 of Ilka Torvane (P1), "
            "above the 58 lb printed on F1; expected the owner's consent, or a tension within the range",
        ),
        (
            {
                "frames": RANGED.replace("48 lb,58 lb", "22 kg,27 kg"),
                "dropoffs": HEAD + "2031-05-12,08:30,P1,1,F1,X1,24 lb,,\n",
            },
            "dropoffs.csv row 2, column mains_tension: found 24 lb, below the 22 kg to 27 kg printed on F1; "
            "expected 24 kg, if that was meant; ask the player",
        ),
        (
            {"frames": RANGED, "dropoffs": HEAD + "2031-05-12,08:30,P1,1,F1,X1,30 lb,,\n"},
            "dropoffs.csv row 2, column mains_tension: found 30 lb, below the 48 lb to 58 lb printed on F1; "
            "expected a tension that is meant so low; ask the player",
        ),
        (
            {"dropoffs": HEAD + "2031-05-12,08:30,P1,1,F1,X1,52 lb,,\n2031-05-12,08:40,P1,1,F1,X1,52 lb,,\n"},
            "dropoffs.csv row 3, column racquet: found racquet 1 of Ilka Torvane (P1), 10 min after row 2 brought it; "
            "expected another racquet, or a time when it has been strung",
        ),
        (
            {"matches": MATCHES + ONE + "B,2031-05-12,Court 2,1,doubles,not_before,11:00,P3/P1,P2/P4\n"},
            "matches.csv row 3, column start: found Ilka Torvane (P1) in A and B, both not before 11:00; "
            "expected one match of a player at a time",
        ),
        (
            {"dropoffs": HEAD + "2031-05-12,08:30,P1,1,F1,X1,52 lb,yes,\n"},
            "dropoffs.csv row 2, column own_string: found Ilka Torvane (P1)'s own X1, no reel or set of which is in "
            "the table reels; expected a row in reels, or the string in the bag with the racquet",
        ),
        (
            {"dropoffs": FRAMES + "2031-05-12,08:30,P1,1,F1,X1,52 lb,worn,,\n"},
            "dropoffs.csv row 2, column consent: found none for worn grommets on racquet 1 of Ilka Torvane (P1); "
            "expected the owner's consent, or new grommets",
        ),
        (
            {"dropoffs": FRAMES + "2031-05-12,08:30,P1,1,F1,X1,52 lb,,grommets worn,\n"},
            "dropoffs.csv row 2, column frame_check: found no answer beside the note “grommets worn”; "
            "expected sound, worn or cracked",
        ),
        (
            {"dropoffs": FRAMES + "2031-05-12,08:30,P1,1,F1,X1,52 lb,sound,split,\n"},
            "dropoffs.csv row 2, column frame_check: found sound beside the note “split”; "
            "expected an answer that fits it",
        ),
    ],
)
def test_what_the_day_would_refuse_is_said(tmp_path: Path, over: dict[str, str], remark: str) -> None:
    assert remark in said(tmp_path, **over)


def test_what_was_agreed_or_is_there_needs_no_word(tmp_path: Path) -> None:
    dropoffs = (
        HEAD + "2031-05-12,08:30,P1,1,F1,X1,27 kg,yes,P1 agreed\n"
        "2031-05-12,09:30,P1,1,F1,X1,58 lb,,\n2031-05-12,09:30,P2,1,F1,X1,52 lb,,\n"
    )
    reels = "code,string,metres,owner\nR1,X1,200,\nR2,X1,60,P1\n"
    assert said(tmp_path, frames=RANGED, dropoffs=dropoffs, reels=reels) == []


def test_worn_grommets_that_were_agreed_to_need_no_answer(tmp_path: Path) -> None:
    """As in files from before there was a column for the answer."""
    old = FRAMES.replace(",frame_check", "") + "2031-05-12,08:30,P1,1,F1,X1,52 lb,grommets worn,P1 agreed\n"
    assert said(tmp_path, dropoffs=old) == []
