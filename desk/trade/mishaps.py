"""What may go wrong with a racquet at a stringing desk (common practice), and what is done about it."""

from __future__ import annotations

from dataclasses import dataclass

FIRST_OF_ALL = 20
"""Weight of a racquet that is strung anew because the desk was wrong: as urgent as one from a match in play."""
CUT_OUT = "cut_out"
"""Noted by the cutting out itself, and chosen by nobody."""
OFTEN = 2
"""So many breaks from one reel are worth a warning."""


@dataclass(frozen=True)
class Kind:
    """One kind of mishap: its words, the states of a job in which it can happen, whether stringing anew mends it."""

    key: str
    words: str
    states: tuple[str, ...]
    again: bool = False


_STRUNG = ("strung", "handed_over")
KINDS = {
    kind.key: kind
    for kind in (
        Kind("string_broke", "The string broke", _STRUNG, again=True),
        Kind("wrong_tension", "The tension is wrong", _STRUNG, again=True),
        Kind(CUT_OUT, "It was cut out, its machine or its stringer fell away", ()),
        Kind("mixed_up", "Racquets were mixed up", ("waiting", "held", "on_machine", *_STRUNG)),
        Kind("tag_lost", "The tag is lost", ("waiting", "held", "strung")),
        Kind("frame_broken", "The frame broke at the desk", ("waiting", "held", "on_machine", "strung")),
        Kind("left_behind", "It was left behind after the last day", ("strung",)),
    )
}


def kinds_for(state: str) -> list[Kind]:
    """Return what can have happened to a job in STATE."""
    return [kind for kind in KINDS.values() if state in kind.states]
