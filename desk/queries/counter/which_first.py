"""Several racquets of a visit for one match, not all of them in time: which of them matters most to the player."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Racquet
from desk.queries.counter.drop_off_preview import Draft
from desk.trade.play.needed_by import FIRST


@dataclass(frozen=True, kw_only=True)
class WhichFirst:
    """What the counter asks: which of `racquet_ids`; `said_id` is the one that the form names so far.

    Unless the player says another, the first of them comes first, or racquet `here_number`, which waits at the
    desk already.
    """

    racquet_ids: tuple[int, ...]
    said_id: int | None = None
    here_number: int | None = None


def which_first(session: Session, event: Event, player_id: int, drafts: Sequence[Draft]) -> WhichFirst | None:
    """Return the question; None where nothing is tight, or where it was answered at an earlier visit."""
    bag = [one for one in drafts if one.needed.for_match and one.quote is not None and one.form.racquet_id]
    said = next((one.form.racquet_id for one in bag if one.form.matters == FIRST), None)
    if len(bag) < 2 or not (said or any(_is_pressed(one) for one in bag)):
        return None
    here = _waiting(session, event, player_id, bag[0].needed.match_id)
    if any(matters == FIRST for matters, _ in here):
        return None
    return WhichFirst(
        racquet_ids=tuple(one.form.racquet_id for one in bag if one.form.racquet_id),
        said_id=said,
        here_number=next((number for matters, number in here if not matters), None),
    )


def _is_pressed(draft: Draft) -> bool:
    return draft.quote is not None and (draft.quote.is_tight or draft.quote.late_minutes > 0)


def _waiting(session: Session, event: Event, player_id: int, match_id: int | None) -> Sequence[tuple[str, int]]:
    """Return what was said of each racquet of the player for this match that waits, and its number."""
    found = (
        select(Job.matters, Racquet.number)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Job.event_id == event.id, Job.player_id == player_id, Job.state == "waiting")
        .where(Job.match_id == match_id, Job.on_court.is_(False))
        .order_by(Job.serial)
    )
    return [(matters, number) for matters, number in session.execute(found)]
