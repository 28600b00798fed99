"""Whether two names may be one person's, written in two ways: asked about, never decided."""

from __future__ import annotations

from difflib import SequenceMatcher

from desk.trade.event.names import search_name

ALIKE = 0.84
"""Likeness of the letters from which somebody is asked: one letter in six may differ."""


def may_be_one(one: str, other: str) -> bool:
    """Whether these may be one person: words turned round, an initial for a name, or a few letters off."""
    first, second = search_name(one).split(), search_name(other).split()
    if not first or not second:
        return False
    if sorted(first) == sorted(second) or _by_initials(first, second) or _by_initials(second, first):
        return True
    return SequenceMatcher(None, " ".join(sorted(first)), " ".join(sorted(second))).ratio() >= ALIKE


def _by_initials(short: list[str], full: list[str]) -> bool:
    """Whether one is the other with initials: the last word the same, each other one its beginning."""
    if short[-1] != full[-1] or len(short) != len(full):
        return False
    pairs = list(zip(short[:-1], full[:-1], strict=True))
    return all(name.startswith(initial.rstrip(".")) for initial, name in pairs) and any(
        len(initial.rstrip(".")) == 1 for initial, _ in pairs
    )
