"""A calendar file by RFC 5545, with as much of it as an appointment to fetch something needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from desk.trade.event.event_time import as_utc

LINE_OCTETS = 75
_ESCAPES = (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"))


@dataclass(frozen=True, kw_only=True)
class Appointment:
    """One entry of a calendar; `changed_at` tells two versions of the same `uid` apart."""

    uid: str
    at: datetime
    changed_at: datetime
    summary: str
    place: str = ""
    text: str = ""
    lasts: timedelta = timedelta(minutes=15)


def calendar_file(appointments: Iterable[Appointment], *, product: str, language: str) -> bytes:
    """Return the file: UTC times, lines folded at 75 octets and ended by CR LF (RFC 5545, 3.1)."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//{product}//{language.upper()}", "CALSCALE:GREGORIAN"]
    for one in appointments:
        lines += _event(one)
    lines.append("END:VCALENDAR")
    return b"".join(_fold(line) for line in lines)


def _event(one: Appointment) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{_escape(one.uid)}"
    yield f"DTSTAMP:{_utc(one.changed_at)}"
    yield f"DTSTART:{_utc(one.at)}"
    yield f"DTEND:{_utc(one.at + one.lasts)}"
    yield f"SUMMARY:{_escape(one.summary)}"
    if one.place:
        yield f"LOCATION:{_escape(one.place)}"
    if one.text:
        yield f"DESCRIPTION:{_escape(one.text)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _utc(moment: datetime) -> str:
    return f"{as_utc(moment):%Y%m%dT%H%M%SZ}"


def _escape(text: str) -> str:
    for plain, escaped in _ESCAPES:
        text = text.replace(plain, escaped)
    return text


def _fold(line: str) -> bytes:
    """Break a long line before a blank, never within a character."""
    parts, part = [], b""
    for character in line:
        octets = character.encode()
        if len(part) + len(octets) > LINE_OCTETS:
            parts.append(part)
            part = b" "
        part += octets
    return b"\r\n".join([*parts, part]) + b"\r\n"
