"""Names of people: how they are searched and how a screen shows them."""

from __future__ import annotations

import unicodedata

BOARD_NAMES = {"full": "full names", "initials": "initials", "tag": "tags only"}
"""How a board may name a player: in full, by initials, or not at all (the tag only)."""

# Letters that no decomposition turns into a plain one.
_PLAIN = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ŋ": "n"})


def search_name(name: str) -> str:
    """A name as it is searched: small letters without accents, single blanks.

    "Łucja  Ødegård-Núñez" and "lucja odegard-nunez" are found by each other.
    """
    letters = unicodedata.normalize("NFKD", name.casefold().translate(_PLAIN))
    plain = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return " ".join(plain.split())


def initials(name: str) -> str:
    """The first letter of each part of a name: "Ilka Torvane-Mees" gives "I. T.-M."."""
    return " ".join(
        "-".join(f"{part[0].upper()}." for part in word.split("-") if part) for word in name.split() if word.strip("-")
    )


def shorter(name: str, letters: int) -> str:
    """A name within so many letters where initials of the forenames suffice: "M. A. Etxeberria-Goikoetxea"."""
    last = surname(name)
    forenames = name.removesuffix(last).strip()
    return name if len(name) <= letters or not forenames else f"{initials(forenames)} {last}"


def surname(name: str) -> str:
    """The last word of a name, with the code that tells namesakes apart: "Torvane", "Torvane (P07)"."""
    words = name.split()
    return " ".join(words[-2:] if name.endswith(")") else words[-1:])


def display_name(name: str, style: str, tag: str = "") -> str:
    """A name as a board shows it; `style` is one of `BOARD_NAMES`, `tag` stands in for the name."""
    if style == "full":
        return name
    if style == "initials":
        return initials(name)
    if style == "tag":
        return tag
    raise ValueError(f"{style!r} is no way to show a name; take one of {', '.join(BOARD_NAMES)}")
