"""Rows of what went through the desk, by hour, day, stringer and machine."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

NEEDED = (
    "racquets whose needed-by time came, or that were ready or given back unstrung before it; a racquet whose match "
    "was played without it was needed the event's lead before that match began"
)
PROMISED = "racquets whose first told ready time came, or that were ready or given back unstrung before it"


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

    day: Annotated[date | None, "the day in the event's zone; None: after the last day was closed"]
    racquets: Annotated[int, "racquets strung"]
    players: Annotated[int, "players served"]
    with_needed_by: Annotated[int, NEEDED]
    on_time: Annotated[int, "of those, strung and checked by then"]
    tight: Annotated[int, "of those, ready after they were needed and before the player could be called"]
    late_up_to_5: Annotated[int, "of those, ready up to 5 minutes after the player could be called"]
    late_up_to_15: Annotated[int, "of those, more than 5 and up to 15 minutes after that"]
    late_up_to_30: Annotated[int, "of those, more than 15 and up to 30 minutes after that"]
    late_more: Annotated[int, "of those, more than 30 minutes after that"]
    needed_not_strung: Annotated[int, "of those, not strung when the report ends, or given back unstrung"]
    late_match_begun: Annotated[int, "late or not strung, and the match had begun when it was ready or the report ends"]
    promises_made: Annotated[int, PROMISED]
    promises_kept: Annotated[int, "of those, strung and checked by the time told first"]
    promised_not_strung: Annotated[int, "of those, not strung when the report ends, or given back unstrung"]
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
class TeamRow:
    """One stringer on one day: the basis for pay."""

    day: Annotated[date | None, "the day in the event's zone; None: after the last day was closed"]
    stringer: Annotated[str, "name"]
    racquets: Annotated[int, "racquets strung"]
    on_court: Annotated[int, "of those, from a match in play"]
    busy_min: Annotated[float, "time with a racquet on the machine"]
    at_work_min: Annotated[float, "time on shift, breaks and absences left out"]
    bench_mean_min: Annotated[float | None, "mean time on the bench"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    rate_minor: Annotated[int | None, "what the lead set; None where nothing is set"]
    rate_per: Annotated[str, "what the rate is for: racquet or hour on shift"]
    pay_minor: Annotated[int | None, "rate times racquets, or times hours on shift, rounded half to even"]


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
