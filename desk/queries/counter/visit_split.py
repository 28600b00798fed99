"""A visit that the plan would give to several stringers: the times of both ways, before it is accepted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from desk.models import Event, Player
from desk.queries.counter.drop_off_preview import Draft, wanted_of
from desk.queries.finding import find_of
from desk.queries.promise import quotes
from desk.queries.row_making import grouped

MOST_TRIED = 4


@dataclass(frozen=True, kw_only=True)
class Share:
    """So many racquets of a visit with one stringer, the last of them ready by `ready_at`."""

    count: int
    stringer_id: int
    ready_at: datetime


@dataclass(frozen=True, kw_only=True)
class VisitSplit:
    """The visit in parts, and all of it with one stringer; `together` is None where nobody can take all."""

    parts: tuple[Share, ...]
    together: Share | None


def split_of(
    session: Session, event: Event, player_id: int, drafts: Sequence[Draft], at: datetime, *, own: int | None = None
) -> VisitSplit | None:
    """Return both ways where the drafts go to several stringers; None where they stay with one.

    OWN is the player's own stringer: of equal times all with them is the better.

    Racquets from the court are left out: they go to whoever is free first, at one time if need be.
    """
    bag = [draft for draft in drafts if draft.quote is not None and not draft.form.on_court]
    parts = _shares([draft.quote for draft in bag if draft.quote is not None])
    if len(parts) < 2:
        return None
    player = find_of(session, event, Player, player_id, "player")
    wanted = [wanted_of(event, player, draft, at) for draft in bag]
    asked = dict.fromkeys([*([own] if own else []), *(share.stringer_id for share in parts)])
    tried = [_together(session, event, wanted, stringer_id, at) for stringer_id in [*asked][:MOST_TRIED]]
    ways = [share for share in tried if share is not None]
    best = min(ways, key=lambda share: (share.ready_at, share.stringer_id != own), default=None)
    return VisitSplit(parts=parts, together=best)


def _together(
    session: Session, event: Event, wanted: Sequence[quotes.Wanted], stringer_id: int, at: datetime
) -> Share | None:
    with_one = [replace(one, stringer_id=stringer_id) for one in wanted]
    shares = _shares(quotes.quote_jobs(session, event, with_one, at))
    return shares[0] if shares and shares[0].count == len(wanted) else None


def _shares(found: Sequence[quotes.ReadyQuote]) -> tuple[Share, ...]:
    """Return what each stringer gets, the first ready first."""
    placed = (quote for quote in found if quote.stringer_id is not None and quote.ready_at is not None)
    ends = grouped((quote.stringer_id, quote.ready_at) for quote in placed)
    shares = [Share(count=len(at), stringer_id=key, ready_at=max(at)) for key, at in ends.items()]
    return tuple(sorted(shares, key=lambda share: (share.ready_at, share.stringer_id)))
