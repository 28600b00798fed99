"""What the counter reads before it accepts: tight, late, and a visit that would be split."""

from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest

from desk.web.counter.ready import Ready
from tests.web.counter.known_player import Counter, jobs_of

PLANNED = r"planned (\d\d):(\d\d), "


def read(counter: Counter, data: dict) -> str:
    text = counter.post(f"{counter.address}/ready", data).text
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_between_needed_by_and_too_late_it_reads_tight_with_both_times(counter: Counter) -> None:
    counter.play_at("12:45")
    said = read(counter, counter.taking(0))
    hour, minute = map(int, re.search(PLANNED + r"needed by 12:15, too late from 12:35\.", said).groups())
    assert timedelta(hours=12, minutes=15) < timedelta(hours=hour, minutes=minute) <= timedelta(hours=12, minutes=35)
    assert re.search(r"\btight : planned", said) and "late :" not in said


def test_past_that_it_reads_late_by_so_many_minutes(counter: Counter) -> None:
    counter.play_at("12:20")
    late, hour, minute = re.search(
        r"(\d+) min late : " + PLANNED + r"too late from 12:10\.", read(counter, counter.taking(0))
    ).groups()
    assert int(hour) * 60 + int(minute) - (12 * 60 + 10) == int(late)


def test_a_split_is_said_before_it_is_accepted_and_one_touch_keeps_all_together(counter: Counter) -> None:
    counter.play_at("13:05")
    data = counter.taking(0, 1, 2)
    said = read(counter, data)
    each = r"Racquet ((?:\d \d\d:\d\d (?:late )?){3})Nobody else is made late\."
    ways = re.search(
        rf"This splits the visit so (.+?) {each} or all by (\d\d:\d\d) with .+? {each} Keep all with one", said
    )
    assert ways, said
    assert [*re.findall(r"(one|two) by \d\d:\d\d with Stringer \d at Bench \d", ways[1])].count("two") == 1
    apart, all_with_one = (re.findall(r"\d\d:\d\d", ways[number]) for number in (2, 4))
    assert max(all_with_one) == ways[3] > max(apart) and "late" in ways[4] and "late" not in ways[2]
    together = re.search(r'name="stringer_id" value="(\d+)"', counter.post(f"{counter.address}/ready", data).text)[1]
    counter.accept(data | {"stringer_id": together})
    assert {job.pinned_stringer_id for job in jobs_of(counter)} == {int(together)}


@pytest.mark.parametrize(
    ("count", "said"), [(0, ""), (2, "R1, R2"), (6, "R1, R2, R3, R4, R5, R6"), (9, "R1, R2, R3, R4, R5, R6 and 3 more")]
)
def test_of_many_broken_promises_six_are_named(count: int, said: str) -> None:
    assert Ready(breaks=tuple(f"R{number}" for number in range(1, count + 1))).broken == said
