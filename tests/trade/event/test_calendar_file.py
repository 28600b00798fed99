"""The calendar file, read back by the icalendar package, and its lines by RFC 5545, 3.1."""

from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Calendar

from desk.trade.event.calendar_file import Appointment, calendar_file

AT = datetime(2031, 5, 12, 11, 5, tzinfo=UTC)


def one(**over: object) -> Appointment:
    values = {"uid": "NCYK-open", "at": AT, "changed_at": AT - timedelta(hours=1), "summary": "Collect 2 racquets"}
    return Appointment(**(values | over))  # type: ignore[arg-type]


def read(*appointments: Appointment) -> list:
    return Calendar.from_ical(calendar_file(appointments, product="desk", language="de")).walk("VEVENT")


@pytest.mark.outside
def test_another_library_reads_back_what_was_written() -> None:
    text = "Hall B; behind court 3, \\ left\nup the stairs"
    (event,) = read(one(place=text, text="NCYK, K7HF"))
    assert event.decoded("DTSTART") == AT
    assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(minutes=15)
    assert (str(event["LOCATION"]), str(event["DESCRIPTION"])) == (text, "NCYK, K7HF")


@pytest.mark.outside
def test_long_lines_are_folded_within_75_octets_and_whole_characters() -> None:
    summary = "Schläger für Łucja Ødegård-Núñez " * 6
    written = calendar_file([one(summary=summary)], product="desk", language="de")
    lines = written.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert [line.decode() for line in lines][-1] == ""
    assert str(read(one(summary=summary))[0]["SUMMARY"]) == summary


def test_nothing_to_fetch_is_an_empty_calendar() -> None:
    assert read() == []
