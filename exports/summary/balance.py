"""Figures of money, and of what is left over."""

from exports.money import money_text
from exports.report import UsageReport
from exports.summary.figure import Figure, listed


def left(report: UsageReport) -> tuple[Figure, ...]:
    """What is carried over, done again, cancelled."""
    s = report.summary
    reasons: dict[str, int] = {}
    for row in report.carried_over:
        reasons[row.state] = reasons.get(row.state, 0) + 1
    states = listed(*(f"{count} {state}" for state, count in reasons.items()))
    look = any(row.still_open or row.often for row in report.mishaps)
    at_desk = f"{s.uncollected} strung and not collected" if s.uncollected else ""
    return (
        Figure("carried_over", "Carried over", s.carried_over, note=listed(states, at_desk)),
        Figure("redo", "Strung again", s.redo, alert=s.redo > 0),
        Figure("mishaps", "Went wrong", s.mishaps, note=_mishap_words(report), alert=look),
        Figure("cancelled", "Cancelled", s.cancelled),
    )


def _mishap_words(report: UsageReport) -> str:
    """How often each kind was noted, how many are open, and which reels break often."""
    kinds = [row for row in report.mishaps if row.group == "kind" and row.noted]
    still_open = sum(row.still_open for row in kinds)
    parts = [f"{row.name}: {row.noted}" for row in kinds]
    parts += [f"{still_open} still open"] if still_open else []
    return "; ".join([*parts, *(f"{row.name} breaks often" for row in report.mishaps if row.often)])


def balance(report: UsageReport) -> tuple[Figure, ...]:
    """Charged, received and open."""
    s = report.summary
    return (
        Figure("charged_minor", "Charged", s.charged_minor, measure="minor", note=_tax_words(report)),
        Figure("received_minor", "Received", s.received_minor, measure="minor", note=_received_words(report)),
        Figure("carried_forward_minor", "Open", s.carried_forward_minor, measure="minor", note=_open_words(report)),
    )


def _tax_words(report: UsageReport) -> str:
    taxed = [row for row in report.taxes if row.tax_minor]
    rates = listed(
        *(f"{money_text(row.tax_minor, row.currency)} at {row.rate_pct:g}\N{NO-BREAK SPACE}%" for row in taxed)
    )
    return f"of it tax {rates}" if rates else ""


def _received_words(report: UsageReport) -> str:
    """By which way, over all days."""
    ways = {"cash": "in cash", "card": "by card", "transfer": "by transfer", "prize_money": "prize money"}
    ways["federation"] = "federation"
    sums = [(word, sum(getattr(row, f"{way}_minor") for row in report.money_by_day)) for way, word in ways.items()]
    parts = [f"{word} {money_text(minor, report.currency)}" for word, minor in sums if minor]
    if report.summary.refunded_minor:
        parts.append(f"paid back {money_text(report.summary.refunded_minor, report.currency)}")
    return ", ".join(parts)


def _open_words(report: UsageReport) -> str:
    s = report.summary
    amounts = ((s.brought_forward_minor, "brought forward"), (s.written_off_minor, "written off"))
    return listed(*(f"{money_text(minor, report.currency)} {words}" for minor, words in amounts if minor))
