"""Reels and sets that come into the string store."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from desk.models import Event, Player, Reel, ReelEntry, StringType
from desk.queries.finding import find_of
from desk.queries.string.store import string_label
from desk.services.acting import Acting, lock_and_find
from desk.services.bench.releasing import release_for_string
from desk.services.form_values import chosen_code, codes_of, refuse
from desk.services.string.string_list import log_store
from desk.trade.racquet.reel_choice import LONGEST_SET_M, SETS
from desk.trade.racquet.value_kinds import REEL_M

KINDS = ("reel", *SETS)
LONGEST_M = REEL_M.high
MOST_AT_ONCE = 500
MOST_MINOR = 10_000_000


@dataclass(frozen=True, kw_only=True)
class NewReels:
    """Reels or sets of one string that come into the store, all of the same length.

    Each set is a row of its own, since one is cut at a time. `opening` says that they lay there
    when the event began; else they were received. `price_minor` is what each cost; None: not known.
    """

    string_id: int
    metres: float
    kind: str = "reel"
    count: int = 1
    code: str = ""
    owner_id: int | None = None
    place: str = ""
    opening: bool = False
    price_minor: int | None = None


def add_reels(session: Session, event_id: int, new: NewReels, *, acting: Acting) -> list[Reel]:
    """Take reels or sets into the store, each with its first entry; held racquets may go on by them."""
    event, string = lock_and_find(session, event_id, StringType, new.string_id, "string")
    _require_new(new)
    if new.owner_id is not None:
        find_of(session, event, Player, new.owner_id, "player")
    reels = [_reel(event, new, code, acting) for code in _codes(session, event, string, new)]
    session.add_all(reels)
    kind = new.kind.replace("_", " ")
    what = f"{len(reels)} x {kind} {reels[0].code}" if len(reels) > 1 else f"{kind.capitalize()} {reels[0].code}"
    log_store(session, event, acting, f"{what} of {string_label(string)}, {new.metres:g} m, taken into the store")
    release_for_string(session, event, {string.id}, acting=acting)
    return reels


def _reel(event: Event, new: NewReels, code: str, acting: Acting) -> Reel:
    reel = Reel(
        event_id=event.id,
        code=code,
        string_type_id=new.string_id,
        kind=new.kind,
        owner_id=new.owner_id,
        place=new.place.strip(),
        price_minor=new.price_minor,
    )
    kind = "opening" if new.opening else "received"
    reel.entries.append(ReelEntry(at=acting.at, by=acting.by, kind=kind, metres=round(new.metres, 2)))
    return reel


def _require_new(new: NewReels) -> None:
    faults = {}
    if new.kind not in KINDS:
        faults["kind"] = "choose reel, set or half set"
    elif new.kind in LONGEST_SET_M and new.metres > LONGEST_SET_M[new.kind]:
        faults["metres"] = f"at most {LONGEST_SET_M[new.kind]:g} for a {new.kind.replace('_', ' ')}"
    if not 0 < new.metres <= LONGEST_M:
        faults["metres"] = f"give metres above 0 and up to {LONGEST_M:g}"
    if new.price_minor is not None and not 0 <= new.price_minor <= MOST_MINOR:
        faults["price"] = "give an amount from 0"
    if not 1 <= new.count <= MOST_AT_ONCE:
        faults["count"] = f"give a count from 1 to {MOST_AT_ONCE}"
    refuse(faults, "These cannot be taken into the store like this")


def _codes(session: Session, event: Event, string: StringType, new: NewReels) -> list[str]:
    taken, wanted = codes_of(session, event, Reel), new.code.strip()
    if wanted and new.count == 1:
        return [chosen_code(wanted, taken, "", "reel")]
    codes: list[str] = []
    for _ in range(new.count):
        codes.append(chosen_code("", taken, f"{wanted or string.code}-", "reel"))
        taken.add(codes[-1])
    return codes
