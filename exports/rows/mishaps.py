"""Rows of what went wrong with racquets."""

from dataclasses import dataclass
from typing import Annotated, Literal

MishapGroup = Literal["kind", "reel", "machine"]


@dataclass(frozen=True, kw_only=True)
class MishapRow:
    """How often something went wrong: of one kind, with string of one reel, or after one machine.

    By reel only strings that broke are counted, by machine those and wrong tensions: what is lost or mixed up
    says nothing about either. A hybrid counts at both its reels.
    """

    group: Annotated[MishapGroup, "what is counted together"]
    name: Annotated[str, "the kind in words, the label of the reel with its string, or the machine"]
    noted: Annotated[int, "noted within the report"]
    still_open: Annotated[int, "of these, not closed when the report ends"]
    strung_anew: Annotated[int, "of these, strung anew free of charge"]
    so_far: Annotated[int, "noted from the beginning of the event to the end of the report"]
    racquets: Annotated[int, "racquets finished from that beginning to that end: all, from the reel, on the machine"]
    often: Annotated[bool, "so often with one reel that the string is worth a look"]
