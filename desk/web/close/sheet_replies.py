"""How the figures of a sheet read on a screen, and how a sheet is sent."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO

from flask import send_file
from werkzeug.wrappers import Response

from desk.web.display import money
from exports.summary import Figure

MIME_TYPES = {
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".csv": "text/csv; charset=utf-8",
    ".zip": "application/zip",
    ".json": "application/json",
}


def figure_value(figure: Figure, currency: str) -> str:
    """A figure with its unit: "9", "101.5 m", "20.0 min", "290.00 EUR"; a dash where it is not known."""
    if figure.value is None:
        return "–"
    if figure.measure == "minor":
        return money(int(figure.value), currency)
    if figure.measure == "count":
        return f"{figure.value:,.0f}"
    tenths = Decimal(str(figure.value)).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{tenths:,} {'%' if figure.measure == 'pct' else figure.measure}"


def as_file(content: bytes, name: str) -> Response:
    """Send a sheet as a file of that name."""
    suffix = name[name.rindex(".") :]
    return send_file(BytesIO(content), mimetype=MIME_TYPES[suffix], as_attachment=True, download_name=name)
