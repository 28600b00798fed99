"""A report as JSON: the rows as they are, field by field."""

import json
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any

from exports.report import UsageReport
from exports.units import Tension

FORMAT = "usage-report"
VERSION = 1
"""Raised when a field is taken away or changes its meaning; a field more does not raise it."""


def write_json(report: UsageReport) -> bytes:
    """Return the report as JSON in UTF-8, valid under `exports.schema.json_schema`.

    The object has ``format`` and ``version``, then the fields of `UsageReport`; each row is an object with the
    fields of its class. Text is as it was typed: whoever puts it in a spreadsheet must guard it.
    """
    content = {"format": FORMAT, "version": VERSION, **_plain(report)}
    return json.dumps(content, ensure_ascii=True, allow_nan=False, indent=1).encode()


def _plain(value: Any) -> Any:
    if isinstance(value, Tension):
        return {"value": value.value, "unit": value.unit, "lb": value.lb, "kg": value.kg}
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    return value.isoformat() if isinstance(value, date) else value
