"""A note on a frame asks, and never decides: the answer of whoever looked at it does."""

import pytest

from desk.trade.racquet.frame_answer import asks_for_frame, contradicts, needs_consent, spoken_of

DAMAGED = (
    "hairline crack at 2 o'clock", "Cracked", "frame is broken at the throat", "split", "fissure near the bridge",
    "snapped", "delaminating at the tip", "fractured", "grommets worn and a cracked frame", "crack under the grommet",
    "no sign of a crack", "free of cracks",
)  # fmt: skip
WORN = ("grommets worn at the head", "cracked grommet", "bumper guard cracked", "grommet split at 2 o'clock")
NEITHER = ("", "paint chipped", "new grommets", "string broke", "broken strings", "grommets whole")


@pytest.mark.parametrize(
    ("note", "spoken"),
    [*((one, "cracked") for one in DAMAGED), *((one, "worn") for one in WORN), *((one, "") for one in NEITHER)],
)
def test_a_note_speaks_of_a_damaged_frame_of_its_grommets_or_of_neither(note: str, spoken: str) -> None:
    assert spoken_of(note) == spoken


@pytest.mark.parametrize(
    ("answer", "note", "asked"),
    [
        ("sound", "split", True),
        ("sound", "cracked grommet", True),
        ("worn", "split", True),
        ("worn", "cracked grommet", False),
        ("cracked", "split", False),
        ("cracked", "", False),
        ("sound", "paint chipped", False),
        ("", "split", False),
    ],
)
def test_an_answer_is_asked_about_where_the_note_says_more(answer: str, note: str, asked: bool) -> None:
    assert contradicts(answer, note) is asked


def test_worn_grommets_need_consent_unless_new_ones_are_on_the_card() -> None:
    # A worn grommet can be agreed to: common practice.
    assert needs_consent("worn", "none") and needs_consent("worn", "grip")
    assert not needs_consent("worn", "grommets_and_grip") and not needs_consent("sound", "none")


@pytest.mark.parametrize(
    ("reason", "asks"),
    [
        ("Frame is cracked", False),
        ("no crack seen, owner asked", True),
        ("String broke", False),
        ("owner decides", False),
    ],
)
def test_a_reason_that_speaks_of_damage_is_asked_about(reason: str, asks: bool) -> None:
    """The bench's own answer, "Frame is cracked", is no question any more."""
    assert asks_for_frame(reason) is asks
