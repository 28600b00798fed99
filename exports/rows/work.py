"""Rows of what went through the desk, by hour, day, stringer and machine."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated


@dataclass(frozen=True, kw_only=True)
class HourRow:
    """What went through the desk within one hour of one day."""

    from_at: Annotated[datetime, "start of the hour; stands twice where the clock goes back"]
    utc_offset_min: Annotated[int, "offset of that hour from UTC: tells the two apart"]
    dropped_off: Annotated[int, "racquets dropped off"]
    strung: Annotated[int, "racquets finished"]
    handed_over: Annotated[int, "racquets handed over"]
    on_court: Annotated[int, "of those strung, sent from a match in play"]


@dataclass(frozen=True, kw_only=True)
class DayRow:
    """One day of the event."""

    day: Annotated[date, "the day in the event's zone"]
    racquets: Annotated[int, "racquets strung"]
    players: Annotated[int, "players served"]
    with_needed_by: Annotated[int, "racquets strung that had a needed-by time"]
    on_time: Annotated[int, "of those, ready by then"]
    promises_made: Annotated[int, "promises made for racquets strung"]
    promises_kept: Annotated[int, "of those, ready as promised"]
    on_court: Annotated[int, "racquets from a match in play"]
    on_court_mean_min: Annotated[float | None, "their mean time from drop-off to ready"]
    string_m: Annotated[float, "string in the racquets"]
    redo: Annotated[int, "racquets strung again because of the desk"]
    closed: Annotated[bool, "whether the day is closed"] = False


@dataclass(frozen=True, kw_only=True)
class StringerRow:
    """What one stringer did."""

    stringer: Annotated[str, "name"]
    racquets: Annotated[int, "racquets strung"]
    players: Annotated[int, "players served"]
    on_court: Annotated[int, "racquets from a match in play"]
    at_work_min: Annotated[float | None, "time on shift, breaks left out"]
    busy_min: Annotated[float, "time with a racquet on the machine"]
    bench_mean_min: Annotated[float | None, "mean time on the bench"]
    within_target: Annotated[int, "racquets within the time target"]
    with_needed_by: Annotated[int, "racquets that had a needed-by time"]
    on_time: Annotated[int, "of those, ready by then"]
    redo: Annotated[int, "racquets strung again because of the desk"]
    string_m: Annotated[float, "string in the racquets"]


@dataclass(frozen=True, kw_only=True)
class MachineRow:
    """What was strung on one machine."""

    machine: Annotated[str, "name"]
    racquets: Annotated[int, "racquets strung"]
    on_court: Annotated[int, "racquets from a match in play"]
    busy_min: Annotated[float, "time with a racquet on it"]
    bench_mean_min: Annotated[float | None, "mean time on the bench"]
    out_of_service_min: Annotated[float, "time out of service while the desk was open"]
    stringers: Annotated[int, "stringers who worked on it"]
