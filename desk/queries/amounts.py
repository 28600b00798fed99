"""Amounts of money as text."""

from __future__ import annotations

from decimal import Decimal

from babel.numbers import get_currency_precision


def amount_text(amount_minor: int, currency: str) -> str:
    """Return an amount with its currency: 1250 of EUR is "12.50 EUR"."""
    digits = get_currency_precision(currency)
    return f"{Decimal(amount_minor).scaleb(-digits):.{digits}f} {currency}"
