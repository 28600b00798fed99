"""Half-open spans of time: taking one set of them from another."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Protocol

from desk.trade.play.expected import still_expected

Span = tuple[datetime, datetime]

OPEN_END = datetime(9999, 1, 1, tzinfo=UTC)
"""The end of a span whose end nobody knows yet."""
LONGEST_SET_BACK = timedelta(hours=12)
"""Who asks as of a time that lies further back looks at the past or at the event before it, not at a clock set back."""


class MayEnd(Protocol):
    """An outage or an absence: its end is expected until somebody says that it is over.

    One that began with the word (`begun`) has begun whatever a clock that was set says, and one that is over is over.
    """

    from_at: datetime
    to_at: datetime | None
    begun: bool
    over: bool


def holds(one: MayEnd, at: datetime) -> bool:
    """Tell whether it holds at AT: once begun it does until somebody says that it is over."""
    return (one.begun or one.from_at <= at) and not one.over


def gap(one: MayEnd, at: datetime) -> Span:
    """Return the time that it takes away, as the plan counts with at AT."""
    if one.over:
        end = one.to_at if one.to_at is not None and one.to_at - at > LONGEST_SET_BACK else min(one.to_at or at, at)
        return min(one.from_at, end), end
    was_set_back = one.begun and one.from_at - at <= LONGEST_SET_BACK
    return min(one.from_at, at) if was_set_back else one.from_at, still_expected(one.to_at, at) or OPEN_END


def said(one: MayEnd) -> Span:
    """Return from when to when it was, as far as somebody said so."""
    return one.from_at, (one.to_at if one.over else None) or OPEN_END


def without(spans: Iterable[Span], gaps: Iterable[Span]) -> list[Span]:
    """Return SPANS with every gap cut out, in order; what touches or overlaps is joined first."""
    left = joined(spans)
    for gap_from, gap_to in gaps:
        if gap_to <= gap_from:
            continue
        left = [piece for span in left for piece in _cut(span, gap_from, gap_to)]
    return left


def _cut(span: Span, gap_from: datetime, gap_to: datetime) -> list[Span]:
    start, end = span
    pieces = [(start, min(end, gap_from)), (max(start, gap_to), end)]
    if gap_to <= start or end <= gap_from:
        return [span]
    return [piece for piece in pieces if piece[0] < piece[1]]


def joined(spans: Iterable[Span]) -> list[Span]:
    """Return spans in order, with those that touch or overlap made one; empty ones are left out."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if end <= start:
            continue
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found
