"""What somebody who looked a frame over answers: sound, grommets worn or cracked. The answer decides, never a note.

A cracked frame can burst under tension: it is not strung, since consent does not protect the hands of whoever strings;
the owner is told and keeps it. Worn grommets can be agreed to (common practice). The makers' manuals come first.
"""

import re

SOUND, WORN, CRACKED = "sound", "worn", "cracked"
FRAME_CHECKS = (SOUND, WORN, CRACKED)
ANSWER_WORDS = {SOUND: "sound", WORN: "grommets worn", CRACKED: "cracked"}
FRAME_IS_CRACKED = "Frame is cracked"
"""The same answer at the bench, as the reason why a racquet is held."""

_DAMAGE = r"(?:crack|fractur|hairline|break|broke|split|splinter|fissur|snap|delaminat)\w*"
_PART = r"(?:grommet|bumper|string|grip|overgrip)s?"
_BETWEEN = r"(?:\s+(?:guard|strip|set|is|are|was|were|has|have|been))*"
_OF_A_PART = re.compile(rf"\b(?:{_DAMAGE}\s+{_PART}|{_PART}{_BETWEEN}\s+{_DAMAGE})\b", re.IGNORECASE)
_OF_THE_FRAME = re.compile(rf"\b{_DAMAGE}", re.IGNORECASE)
_GROMMET = re.compile(r"\b(?:grommet|bumper)", re.IGNORECASE)
_WEAR = re.compile(rf"\b(?:{_DAMAGE}|worn|wear\w*|damag\w*|brittle|loose|missing)", re.IGNORECASE)


def spoken_of(note: str) -> str:
    """Return what a note speaks of, cracked or worn, else nothing: by it somebody is asked, nothing is decided.

    The words do not tell "no crack" from "a crack"; whoever looked at the frame does.
    """
    if _OF_THE_FRAME.search(_OF_A_PART.sub(" ", note)):
        return CRACKED
    clauses = re.split(r"[,;.]", note)
    return WORN if any(_GROMMET.search(one) and _WEAR.search(one) for one in clauses) else ""


def contradicts(answer: str, note: str) -> bool:
    """Whether a note speaks of more than the answer says."""
    return bool(answer) and FRAME_CHECKS.index(spoken_of(note) or SOUND) > FRAME_CHECKS.index(answer)


def needs_consent(answer: str, extra_work: str) -> bool:
    """Whether the owner must agree to the grommets as they are; new ones on the card need no word."""
    return answer == WORN and "grommets" not in extra_work


def asks_for_frame(reason: str) -> bool:
    """Whether a racquet that is held for this reason is released only by somebody who says that its frame is whole."""
    return reason != FRAME_IS_CRACKED and spoken_of(reason) == CRACKED
