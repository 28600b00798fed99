"""Sentences about a report: whether it is closed, and whether its totals agree."""

from datetime import date, datetime

from exports.report import UsageReport


def status(report: UsageReport) -> str:
    """Say whether what is reported is closed, when and by whom, and whether it was corrected since."""
    again = _again(report)
    if not report.closed:
        return f"{again}Not closed: as it stood on {moment(report.made_at)}. The figures may still change."
    when = f" on {moment(report.closed_at)}" if report.closed_at else ""
    by = f" by {report.closed_by}" if report.closed_by else ""
    noted = len(report.corrections)
    changed = f" Corrected since: {counted(noted, 'note')} on the sheet Corrections." if noted else ""
    return f"{again}Closed{by}{when}.{changed}"


def _again(report: UsageReport) -> str:
    """That this sheet is not the first of its day, and why."""
    if not report.reopenings:
        return ""
    last = report.reopenings[-1]
    count = len(report.reopenings)
    number = "Second sheet of this day" if count == 1 else f"Sheet {count + 1} of this day"
    begin = number if len(report.days) == 1 else "A day has a further sheet"
    closed = f"closed by {last.closed_by} on {moment(last.closed_at)}"
    opened = f"opened again by {last.opened_by} at {last.opened_at:%H:%M}: {last.reason.rstrip('.')}"
    return f"{begin}: {closed}, {opened}. {_differing(report)}"


def _differing(report: UsageReport) -> str:
    """How many figures are no longer as they were signed last."""
    last = report.reopenings[-1]
    count = sum(row.closed_at == last.closed_at for row in report.signed_before)
    if count == 0:
        return "" if len(report.days) > 1 else "No figure differs from it. "
    return f"{counted(count, 'figure')} {'differs' if count == 1 else 'differ'} from it: see the sheet Signed before. "


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
