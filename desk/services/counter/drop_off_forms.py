"""A drop-off as it was asked for at the counter, before anything is worked out or stored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal


@dataclass(frozen=True, kw_only=True)
class CardForm:
    """A job card as it was asked for; both tensions share the unit that was spoken.

    `own_mains` and `own_crosses` say which half of the string the player brings.
    """

    mains_string_id: int
    crosses_string_id: int
    mains_tension: Decimal
    crosses_tension: Decimal
    tension_unit: str
    pieces: int = 2
    mains_pre_stretch: int = 0
    crosses_pre_stretch: int = 0
    stencil: str = ""
    extra_work: str = "none"
    own_mains: bool = False
    own_crosses: bool = False
    note: str = ""

    @property
    def is_hybrid(self) -> bool:
        """Whether mains and crosses come from two strings, or from two owners."""
        return self.mains_string_id != self.crosses_string_id or self.own_mains != self.own_crosses


@dataclass(frozen=True, kw_only=True)
class RacquetForm:
    """One racquet of a drop-off: an old one by `racquet_id`, or a new one by number and frame.

    `needed_by_kind` is match, time (then `needed_by_at`) or none. `shown_ready_at` is the ready time
    that the player was shown; a later one is refused, so that nobody is promised what was not said.
    `stringer_id` pins it to one stringer, for a visit that is to stay together.
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


@dataclass(frozen=True, kw_only=True)
class DropOffForm:
    """One visit. `request_key` is made with the form: the same form sent twice counts once."""

    player_id: int
    racquets: Sequence[RacquetForm]
    request_key: str
    frame_checked: bool = False
    frame_note: str = ""
    consent: str = ""
