"""How a receipt is laid on its pages: what does not fit on the first goes on to further ones, which say so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from desk.queries.counter.job_cards import CardView

FIRST_LINES, FURTHER_LINES = 12, 26
"""Lines of small type that have room beside the code, and on a further page, in a wide font (measured)."""
NOTE_LETTERS = 44
WIDE_LETTERS, WIDE_LINES = 24, 8
"""Letters of a racquet's line in the larger type, and lines of it that the page holds."""


@dataclass(frozen=True, kw_only=True)
class ReceiptPage:
    """One page: its racquets, and whether sum and notes stand on it."""

    number: int
    cards: tuple[CardView, ...]
    has_end: bool


def receipt_pages(cards: Sequence[CardView], notes: Sequence[str], other_payers: int) -> list[ReceiptPage]:
    """Return the pages of a visit's receipt; sum and notes stand behind the last racquet."""
    end = 2 + other_payers + sum(ceil(len(text) / NOTE_LETTERS) for text in notes if text)
    if len(cards) + end <= FIRST_LINES:
        return [ReceiptPage(number=1, cards=tuple(cards), has_end=True)]
    chunks = [tuple(cards[:FIRST_LINES])]
    chunks += [tuple(cards[at : at + FURTHER_LINES]) for at in range(FIRST_LINES, len(cards), FURTHER_LINES)]
    if len(chunks) == 1 or len(chunks[-1]) + end > FURTHER_LINES:
        chunks.append(())
    last = len(chunks)
    return [ReceiptPage(number=n, cards=chunk, has_end=n == last) for n, chunk in enumerate(chunks, 1)]


def is_many(cards: Sequence[CardView]) -> bool:
    """Whether the racquets need the smaller type."""
    lines = sum(ceil(len(f"No. 1: {card.tensions}, {card.strings}") / WIDE_LETTERS) for card in cards)
    return len(cards) > 3 or lines > WIDE_LINES
