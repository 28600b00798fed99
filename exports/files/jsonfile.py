"""A report as JSON: the rows as they are, field by field; amounts in the currency itself."""

import json
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any

from exports.money import major
from exports.report import UsageReport
from exports.units import Tension

FORMAT = "usage-report"
VERSION = 3
"""Raised when a field is taken away or changes its meaning; a field more does not raise it."""

MINOR = "_minor"
"""How fields end that hold minor units; files have the amount, and no such ending."""

MONEY = "money"
"""What a measure of minor units is called in files, where the figures beside it are amounts."""

OF_MEASURE = ("first", "second", "tolerance", "now", "before")
"""Fields whose unit is that of the field `measure` beside them."""


def write_json(report: UsageReport) -> bytes:
    """Return the report as JSON in UTF-8, valid under `exports.files.schema.json_schema`.

    The object has ``format`` and ``version``, then the fields of `UsageReport`; each row is an object with the
    fields of its class. An amount of minor units, a field that ends in ``_minor``, is written in the currency
    itself under the name without that ending, with ``currency`` in the same object. Text is as it was typed:
    whoever puts it in a spreadsheet must guard it.
    """
    content = {"format": FORMAT, "version": VERSION, **_plain(report, report.currency)}
    return json.dumps(content, ensure_ascii=True, allow_nan=False, indent=1).encode()


def has_amounts(kind: type) -> bool:
    """Whether objects of a class hold amounts, so that their currency stands with them."""
    names = {field.name for field in fields(kind)}
    return "measure" in names or any(name.endswith(MINOR) for name in names)


def _plain(value: Any, currency: str) -> Any:
    if isinstance(value, Tension):
        return {"value": value.value, "unit": value.unit, "lb": value.lb, "kg": value.kg}
    if is_dataclass(value) and not isinstance(value, type):
        return _object(value, currency)
    if isinstance(value, tuple):
        return [_plain(item, currency) for item in value]
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    return value.isoformat() if isinstance(value, date) else value


def _object(row: Any, currency: str) -> dict[str, Any]:
    content = {}
    is_money = getattr(row, "measure", "") == "minor"
    for field in fields(row):
        value = getattr(row, field.name)
        if field.name.endswith(MINOR) or (is_money and field.name in OF_MEASURE):
            value = None if value is None else float(major(value, currency))
        elif is_money and field.name == "measure":
            value = MONEY
        content[field.name.removesuffix(MINOR)] = _plain(value, currency)
    if has_amounts(type(row)):
        content["currency"] = currency
    return content
