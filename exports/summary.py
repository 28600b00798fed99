"""The figures that an organiser asks first, in words and numbers."""

from dataclasses import dataclass
from datetime import date, datetime

from exports.money import money_text
from exports.report import Summary, UsageReport
from exports.rows import Measure


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One figure of the summary.

    Attributes
    ----------
    key
        Name in files.
    label
        What is counted.
    value
        The figure; None where it is not known.
    measure
        Its unit; ``minor`` is minor units of the report's currency.
    of
        The count of which the figure is a part.
    note
        What else there is to say.
    alert
        Whether it needs a look.
    """

    key: str
    label: str
    value: float | None
    measure: Measure = "count"
    of: int | None = None
    note: str = ""
    alert: bool = False

    @property
    def share_pct(self) -> float | None:
        """The figure in per cent of `of`."""
        return 100 * self.value / self.of if self.of and self.value is not None else None


def figures(report: UsageReport) -> tuple[Figure, ...]:
    """Return the figures of the summary, in the order in which they are asked."""
    return _served(report) + _kept(report) + _string(report) + _left(report) + _money(report)


def _served(report: UsageReport) -> tuple[Figure, ...]:
    s = report.summary
    by = f"by {counted(s.stringers, 'stringer')} on {counted(s.machines, 'machine')}" if s.stringers else ""
    each = f"{s.racquets_strung / s.players_served:.1f} racquets a player" if s.players_served else ""
    return (
        Figure(key="racquets_strung", label="Racquets strung", value=s.racquets_strung, note=by),
        Figure(key="players_served", label="Players served", value=s.players_served, note=each),
    )


def _kept(report: UsageReport) -> tuple[Figure, ...]:
    s = report.summary
    late, broken = s.with_needed_by - s.on_time - s.tight, s.promises_made - s.promises_kept
    said = ", ".join(f"{count} {word}" for count, word in ((late, "late"), (s.tight, "tight")) if count)
    return (
        Figure(
            key="on_time",
            label="On time",
            value=s.on_time,
            of=s.with_needed_by,
            note=said or ("all ready when needed" if s.on_time else ""),
            alert=late > 0,
        ),
        Figure(
            key="promises_kept",
            label="Promises kept",
            value=s.promises_kept,
            of=s.promises_made,
            note=_promise_words(s, broken),
            alert=broken > 0,
        ),
        Figure(key="on_court", label="From a match in play", value=s.on_court, of=s.racquets_strung),
        Figure(
            key="on_court_mean_min",
            label="Their mean time",
            value=s.on_court_mean_min,
            measure="min",
            note="from drop-off to ready",
        ),
        Figure(
            key="bench_mean_min",
            label="Mean time on the bench",
            value=s.bench_mean_min,
            measure="min",
            note=f"{s.within_target} of {s.racquets_strung} within {s.target_min:g} min" if s.racquets_strung else "",
        ),
    )


def _promise_words(s: Summary, broken: int) -> str:
    """Say how many promises, counted by the time told first, were broken, and how many were changed."""
    told = f"{broken} ready later than first told" if broken else "all ready when told" if s.promises_kept else ""
    changed = f"{s.promises_changed} changed afterwards" if s.promises_changed else ""
    return ", ".join(part for part in (told, changed) if part)


def _string(report: UsageReport) -> tuple[Figure, ...]:
    s = report.summary
    each = f", {s.string_m / s.racquets_strung:.1f} m a racquet" if s.racquets_strung else ""
    return (
        Figure(
            key="string_m",
            label="String in racquets",
            value=s.string_m,
            measure="m",
            note=f"{s.string_m / 1000:,.2f} km{each}",
        ),
        Figure(key="waste_m", label="String wasted", value=s.waste_m, measure="m"),
    )


def _left(report: UsageReport) -> tuple[Figure, ...]:
    s = report.summary
    return (
        Figure(key="redo", label="Redo", value=s.redo, note="strung again", alert=s.redo > 0),
        Figure(key="carried_over", label="Carried over", value=s.carried_over, note="still open"),
        Figure(key="uncollected", label="Uncollected", value=s.uncollected, note="strung, still at the desk"),
        Figure(key="cancelled", label="Cancelled", value=s.cancelled),
    )


def _money(report: UsageReport) -> tuple[Figure, ...]:
    s = report.summary
    return (
        Figure(key="charged_minor", label="Charged", value=s.charged_minor, measure="minor", note=_tax_words(report)),
        Figure(
            key="received_minor",
            label="Received",
            value=s.received_minor,
            measure="minor",
            note=_received_words(report),
        ),
        Figure(
            key="carried_forward_minor",
            label="Open",
            value=s.carried_forward_minor,
            measure="minor",
            note=_open_words(report),
        ),
    )


def _tax_words(report: UsageReport) -> str:
    rates = [
        f"{money_text(row.tax_minor, row.currency)} tax at {row.rate_pct:g} %" for row in report.taxes if row.tax_minor
    ]
    return f"of it {', '.join(rates)}" if rates else ""


def _received_words(report: UsageReport) -> str:
    """By which way, over all days."""
    ways = (("cash", "in cash"), ("card", "by card"), ("prize_money", "prize money"), ("federation", "federation"))
    sums = [(word, sum(getattr(row, f"{way}_minor") for row in report.money_by_day)) for way, word in ways]
    parts = [f"{word} {money_text(minor, report.currency)}" for word, minor in sums if minor]
    if report.summary.refunded_minor:
        parts.append(f"paid back {money_text(report.summary.refunded_minor, report.currency)}")
    return ", ".join(parts)


def _open_words(report: UsageReport) -> str:
    s = report.summary
    parts = (
        [f"{money_text(s.brought_forward_minor, report.currency)} brought forward"] if s.brought_forward_minor else []
    )
    if s.written_off_minor:
        parts.append(f"{money_text(s.written_off_minor, report.currency)} written off")
    return ", ".join(parts) or ("see Charges" if s.carried_forward_minor else "")


def status(report: UsageReport) -> str:
    """Say whether what is reported is closed, when and by whom, and whether it was corrected since."""
    if not report.closed:
        return f"Not closed: as it stood on {moment(report.made_at)}. The figures may still change."
    when = f" on {moment(report.closed_at)}" if report.closed_at else ""
    by = f" by {report.closed_by}" if report.closed_by else ""
    noted = len(report.corrections)
    changed = f" Corrected since: {counted(noted, 'note')} on the sheet Corrections." if noted else ""
    return f"Closed{by}{when}.{changed}"


def checked(report: UsageReport) -> str:
    """Say whether the totals agree that were counted twice."""
    differing = [row.figure for row in report.cross_checks if row.differs]
    if differing:
        return f"Do not rely on these totals yet, two counts differ: {', '.join(differing)}. See Cross-check."
    if not report.cross_checks:
        return "No total was counted twice."
    return f"{counted(len(report.cross_checks), 'total')} counted twice from different records: all agree."


def counted(number: int, thing: str) -> str:
    """A number with its noun: 1 stringer, 2 stringers."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def day_text(day: date) -> str:
    """A day in words: Wednesday 8 July 2026."""
    return f"{day:%A} {day.day} {day:%B} {day.year}"


def moment(at: datetime) -> str:
    """A moment in words: Wednesday 8 July 2026 at 23:05."""
    return f"{day_text(at)} at {at:%H:%M}"
