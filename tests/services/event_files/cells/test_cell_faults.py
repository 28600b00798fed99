"""The fault of one cell or row says where it stands, what was found and what is expected."""

from pathlib import Path

import pytest

from tests.services.event_files.files import EVENT, FILES, changed, faults_of, write_event


@pytest.mark.parametrize(
    ("stem", "content", "fault"),
    [
        (
            "courts",
            "name\nCourt 1\nCourt 2\nCourt 1\n",
            'courts.csv row 4, column name: found "Court 1" again after row 2; '
            "expected each only once: change or delete one of the two rows",
        ),
        (
            "days",
            changed("days.csv", "08:00,20:00", "08:00,07:00"),
            "days.csv row 2, column closes: found a time that is not after opens; "
            "expected a time after opens (a shift past midnight ends at 24:30, not at 00:30)",
        ),
        (
            "days",
            changed("days.csv", "2031-05-13", "13.05.2031"),
            'days.csv row 3, column date: found "13.05.2031"; expected a date written year-month-day, '
            'such as "2031-05-12"',
        ),
        (
            "stringers",
            changed("stringers.csv", ",M1", ",M9"),
            'stringers.csv row 2, column home_machine: found "M9"; expected a row of the table machines: M1',
        ),
        (
            "shifts",
            changed("shifts.csv", "13:00,18:00", "11:30,18:00"),
            "shifts.csv row 3, column from: found hours that overlap those of row 2; "
            "expected hours that begin when the others have ended",
        ),
        (
            "shifts",
            changed("shifts.csv", "S1,2031-05-12,13:00", "S1,2031-05-20,13:00"),
            'shifts.csv row 3, column day: found "2031-05-20"; '
            "expected a row of the table days: 2031-05-12, 2031-05-13",
        ),
        (
            "matches",
            changed("matches.csv", "winner of A", "winner of Z"),
            'matches.csv row 3, column side1: found winner of "Z"; expected a row of the table matches: A, B',
        ),
        (
            "matches",
            changed("matches.csv", "11:00,P1,P2", "11:00,P1,winner of B"),
            "matches.csv row 2, column side2: found winner of B, which is not played before; "
            "expected a match of an earlier day, or of the same day that stands in an earlier row",
        ),
        (
            "matches",
            changed("matches.csv", "P1,P2", "P1,P9"),
            'matches.csv row 2, column side2: found "P9"; expected a row of the table players: P1, P2, P3, P4',
        ),
        (
            "matches",
            changed("matches.csv", "P1,P2", "P1 / P3,P2"),
            "matches.csv row 2, column side1: found 2 players; expected 1 in the format best_of_3_men",
        ),
        (
            "matches",
            changed("matches.csv", "at,11:00,winner", "followed_by,,winner"),
            "matches.csv row 3, column start_kind: found followed_by on the first match of its court and day; "
            "expected at or not_before, with the time of start",
        ),
        (
            "matches",
            changed("matches.csv", "at,11:00,winner", "not_before,,winner"),
            "matches.csv row 3, column start: found nothing; expected the time for a match of start_kind not_before",
        ),
        (
            "dropoffs",
            changed("dropoffs.csv", "P1,2,F1", "P1,1,F2"),
            'dropoffs.csv row 3, column frame: found "F2" for racquet 1 of P1; '
            'expected "F1" as in row 2, or another racquet number',
        ),
        (
            "dropoffs",
            changed("dropoffs.csv", "mains_tension", "mains_tension,crosses_tension").replace("lb", "lb,23 kg"),
            'dropoffs.csv row 2, column crosses_tension: found "23 kg"; expected the unit of mains_tension, lb',
        ),
        (
            "dropoffs",
            changed("dropoffs.csv", "mains_tension", "mains_tension,needed_by").replace("lb", "lb,08:00"),
            "dropoffs.csv row 2, column needed_by: found a time that is not after the drop-off; "
            "expected a later time, or a day and a time",
        ),
        (
            "incidents",
            "day,time,what,which\n2031-05-12,10:00,machine_out,M7\n",
            'incidents.csv row 2, column which: found "M7"; expected a row of the table machines: M1',
        ),
        (
            "incidents",
            "day,time,what,which\n2031-05-12,10:00,stringer_away,\n",
            "incidents.csv row 2, column which: found nothing; expected the code of the stringer",
        ),
        (
            "house_times",
            "key,minutes\ndense,3\n",
            'house_times.csv row 2, column minutes: found "3"; expected a whole number from 5 to 120',
        ),
        (
            "stringers",
            "code,name,pin\nS1,Bo Karrel,12\n",
            'stringers.csv row 2, column pin: found "12"; expected 4 to 8 digits '
            "(in a spreadsheet format the column as text, so that 0412 keeps its zero)",
        ),
        (
            "calibrations",
            "day,time,machine,reference,reading\n2031-05-12,07:30,M1,20 kg,44 lb\n",
            'calibrations.csv row 2, column reading: found "44 lb"; expected the unit of reference, kg',
        ),
        (
            "incidents",
            "day,time,what,winner\n2031-05-12,10:00,rain,2\n",
            'incidents.csv row 2, column winner: found "2"; expected nothing for rain',
        ),
        (
            "reels",
            "code,string,metres,kind\nR1,X1,200,set\n",
            'reels.csv row 2, column metres: found "200"; expected at most 15 for a set (12 is usual); is it a reel?',
        ),
        (
            "reels",
            "code,string,metres,kind\nR1,X1,12,half_set\n",
            'reels.csv row 2, column metres: found "12"; '
            "expected at most 8 for a half set (6.1 is usual); is it a set?",
        ),
        (
            "prices",
            "kind,per,amount\nstring,job,2\n",
            'prices.csv row 2, column per: found "job"; expected set or metre for a price of kind string',
        ),
        (
            "frames",
            "code,name,mains,crosses,tension_low,tension_high\nF1,Larch,16,19,60 lb,50 lb\nF2,Heron,16,19,,\n",
            'frames.csv row 2, column tension_high: found "50 lb"; expected at least tension_low, 60 lb',
        ),
        (
            "prices",
            "kind,amount\nlabour,-5\n",
            'prices.csv row 2, column amount: found "-5"; expected an amount of EUR that is not negative, '
            "with at most 2 decimals, without the sign",
        ),
        (
            "event",
            EVENT.replace("Europe/Vienna", "Vienna"),
            'event.toml, setting time_zone: found "Vienna"; expected a time zone such as "Europe/Lisbon"',
        ),
    ],
)
def test_a_fault_says_where_what_and_what_instead(stem: str, content: str, fault: str, tmp_path: Path) -> None:
    assert fault in faults_of(write_event(tmp_path, **{stem: content}))


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
