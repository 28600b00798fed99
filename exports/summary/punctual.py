"""Figures of what was strung, kept and how long it took."""

from datetime import datetime

from exports.report import Summary, UsageReport
from exports.summary.figure import Figure, definition_of, listed
from exports.summary.said import counted


def kept(report: UsageReport) -> tuple[Figure, ...]:
    """What was strung, and what of it when it was needed and promised."""
    s = report.summary
    players = f"for {counted(s.players_served, 'player')}" if s.players_served else ""
    by = f"by {counted(s.stringers, 'stringer')} on {counted(s.machines, 'machine')}" if s.stringers else ""
    return (
        Figure("racquets_strung", "Strung", s.racquets_strung, note=listed(players, by)),
        Figure(
            "on_time",
            "On time",
            s.on_time,
            of=s.with_needed_by,
            note=_late_words(s),
            alert=s.on_time + s.tight < s.with_needed_by,
            definition=f"{definition_of('on_time')}; of: {definition_of('with_needed_by')}",
        ),
        Figure(
            "promises_kept",
            "Promises kept",
            s.promises_kept,
            of=s.promises_made,
            note=_promise_words(s),
            alert=s.promises_kept < s.promises_made,
            definition=f"{definition_of('promises_kept')}; of: {definition_of('promises_made')}",
        ),
    )


def _late_words(s: Summary) -> str:
    """How many were late by how much, how many never strung, and whether the match had begun."""
    bands = (
        (s.tight, "tight"),
        (s.late_up_to_5, "late by up to 5 min"),
        (s.late_up_to_15, "late by 5 to 15 min"),
        (s.late_up_to_30, "late by 15 to 30 min"),
        (s.late_more, "late by more than 30 min"),
        (s.needed_not_strung, "not strung"),
    )
    late = listed(*(f"{count} {words}" for count, words in bands if count))
    begun = f"match begun for {s.late_match_begun}" if s.late_match_begun else ""
    if late:
        return "; ".join(words for words in (late, begun) if words)
    return "all ready when needed" if s.on_time else ""


def _promise_words(s: Summary) -> str:
    """Counted by the time told first; how many were told another time afterwards stands beside it."""
    late = s.promises_made - s.promises_kept - s.promised_not_strung
    told = listed(
        f"{late} ready later than first told" if late else "",
        f"{s.promised_not_strung} not strung" if s.promised_not_strung else "",
    )
    changed = f"{s.promises_changed} changed afterwards" if s.promises_changed else ""
    return listed(told or ("all ready when told" if s.promises_kept else ""), changed)


def times(report: UsageReport) -> tuple[Figure, ...]:
    """The busiest hour, and how long racquets took."""
    s = report.summary
    busiest = max(report.throughput_by_hour, key=lambda row: row.strung, default=None)
    hour = busiest.from_at if busiest and busiest.strung else None
    court = f"{s.on_court} from a match in play"
    court += f", these in {s.on_court_mean_min:.0f} min" if s.on_court_mean_min is not None else ""
    return (
        Figure(
            "busiest_hour",
            "Busiest hour",
            busiest.strung if busiest else 0,
            note=f"strung {_hour_words(hour, len(report.days))}" if hour else "",
            definition="most racquets strung and checked within one hour of the clock",
        ),
        Figure(
            "bench_mean_min",
            "On the bench",
            s.bench_mean_min,
            measure="min",
            note=f"mean; target {s.target_min:g} min, met by {s.within_target} of {s.racquets_strung}",
        ),
        Figure(
            "ready_mean_min",
            "Drop-off to ready",
            s.ready_mean_min,
            measure="min",
            note=listed("mean", court if s.on_court else ""),
        ),
    )


def _hour_words(hour: datetime, days: int) -> str:
    clock = f"between {hour:%H}:00 and {(hour.hour + 1) % 24:02}:00"
    return clock if days == 1 else f"on {hour:%A} {hour.day} {hour:%B} {clock}"
