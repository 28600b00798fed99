"""A drop-off as it was asked for at the counter, before the desk works anything out or stores it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from desk.trade.racquet.bed import HalfCard, StringBed


@dataclass(frozen=True, kw_only=True)
class CardForm:
    """A job card as it was asked for; both tensions share the unit that was spoken."""

    bed: StringBed[HalfCard]
    pieces: int = 2
    stencil: str = ""
    extra_work: str = "none"
    as_fresh: bool = False
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class RacquetForm:
    """One racquet of a drop-off: an old one by `racquet_id`, or a new one by number and frame.

    `needed_by_kind` is match, time (then `needed_by_at`) or none. `shown_ready_at` is the ready time
    that the player was shown; a later one is refused, so that nobody is promised what was not said.
    `stringer_id` pins it to one stringer, for a visit that is to stay together. `matters` is first or later, or
    nothing (see `desk.models.Job`). `played_hours` are those that the bed which is cut out now was played.
    `low_meant` False asks back where a tension is far below the frame's range. `frame_check` is what whoever looked the
    frame over answers (`desk.trade.racquet.frame_answer`), empty where nobody did; `frame_note` what they found.
    `frame_meant` False asks back where the note speaks of more than the answer.
    """

    card: CardForm
    racquet_id: int | None = None
    number: int | None = None
    frame_id: int | None = None
    needed_by_kind: str = "match"
    needed_by_at: datetime | None = None
    not_before_at: datetime | None = None
    on_court: bool = False
    court_id: int | None = None
    shown_ready_at: datetime | None = None
    stringer_id: int | None = None
    matters: str = ""
    played_hours: float | None = None
    low_meant: bool = True
    frame_check: str = ""
    frame_note: str = ""
    frame_meant: bool = True


@dataclass(frozen=True, kw_only=True)
class DropOffForm:
    """One visit. `request_key` is made with the form: the same form sent twice counts once.

    `brought_by_id` is the contact who stood at the counter, `brought_by` a name that was typed; neither: the player.
    """

    player_id: int
    racquets: Sequence[RacquetForm]
    request_key: str
    consent: str = ""
    brought_by: str = ""
    brought_by_id: int | None = None
