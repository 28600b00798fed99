"""The usage report of a day or of the event: what was strung, how fast, and how much string went."""

from desk.queries.close.closed import changes, kept_figures
from desk.queries.close.report import usage_report
from desk.queries.close.span import UsageSpan, day_span, event_span, today, usage_spans

__all__ = ["UsageSpan", "changes", "day_span", "event_span", "kept_figures", "today", "usage_report", "usage_spans"]
