"""String booked to a racquet, and booked back."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job, Machine, Player, Reel, ReelEntry, StringType
from desk.queries.finding import find
from desk.queries.string.lengths import event_factors, need_of
from desk.queries.string.store import load_stock, string_label
from desk.services.acting import Acting
from desk.trade.racquet.bed import NOT_SAID, Bed, Half, HalfUse, StringBed
from desk.trade.racquet.reel_choice import LOOSE, ROUNDING_M, Cut, Need, Shortage, Stock

LONGEST_PART_M = 20.0


def use_for_job(
    session: Session,
    event: Event,
    job: Job,
    *,
    acting: Acting,
    used: Bed[HalfUse] = NOT_SAID,
) -> list[ReelEntry]:
    """Book the string of a racquet, each half by itself; what was not measured is computed.

    Without a reel named, the shortest reel or set that suffices is taken: of the desk, or of the player whose own
    string it is. Own string on no reel is booked as received and used at once. Refused when metres cannot be, a reel
    named is another string's or player's, no reel has enough, or it is booked already.
    """
    _require_not_booked(session, job)
    need = _need(session, event, job, used)
    stock = load_stock(session, event)
    chosen = {part: half.reel_id for part, half in used.items() if half.reel_id is not None}
    for part, reel_id in chosen.items():
        _require_fitting(session, stock, need, part, reel_id)
    if need.pieces == 1 and len(set(chosen.values())) > 1:
        raise BadInput("A one-piece bed comes from one reel; name the same reel for mains and crosses.")
    cuts = stock.take(need, chosen, own_may_be_loose=True)
    if isinstance(cuts, Shortage):
        raise Conflict(_too_short(session, job, cuts, chosen))
    return [
        entry
        for cut in cuts
        for entry in _book(session, job, need, cut, measured=used[cut.part].metres is not None, acting=acting)
    ]


def _require_not_booked(session: Session, job: Job) -> None:
    booked = session.scalar(
        select(func.sum(ReelEntry.metres)).where(ReelEntry.job_id == job.id, ReelEntry.kind == "use")
    )
    if booked is not None and booked < -ROUNDING_M:
        raise Conflict(f"The string of {job.code} is booked already; take that back first.")


def _need(session: Session, event: Event, job: Job, used: Bed[HalfUse]) -> Need:
    for part, half in used.items():
        metres = half.metres
        if metres is not None and not 0 < metres <= LONGEST_PART_M:
            raise BadInput(
                f"{metres:g} m of string for the {part} is impossible; measure again, in metres.",
                fields={f"{part}_m": f"give metres above 0 and up to {LONGEST_PART_M:g}"},
            )
    computed = _computed_need(session, event, job)
    halves = (
        half if said.metres is None else replace(half, metres=round(said.metres, 2))
        for half, said in zip(computed.bed, used, strict=True)
    )
    return replace(computed, bed=StringBed(*halves))


def _computed_need(session: Session, event: Event, job: Job) -> Need:
    machine = None if job.machine_id is None else session.get(Machine, job.machine_id)
    return need_of(
        job.card,
        job.racquet.frame,
        player_id=job.player_id,
        factors=event_factors(session, event),
        reach_cm=None if machine is None else machine.reach_cm,
    )


def _require_fitting(session: Session, stock: Stock, need: Need, part: Half, reel_id: int) -> None:
    reel = find(session, Reel, reel_id, "reel")
    field = {f"{part}_reel_id": "choose another reel"}
    if reel.string_type_id != need.bed[part].string_id:
        wanted = session.get_one(StringType, need.bed[part].string_id)
        raise BadInput(
            f"Reel {reel.code} is {string_label(reel.string_type)}, but the card says {string_label(wanted)} for the "
            f"{part}; choose another reel or change the card.",
            fields=field,
        )
    if reel.owner_id not in (None, need.player_id):
        raise BadInput(f"Reel {reel.code} belongs to another player; choose another reel.", fields=field)
    if reel_id not in stock.reels:
        raise Conflict(f"Reel {reel.code} is withdrawn from the store; put it back first or choose another reel.")


def _too_short(session: Session, job: Job, short: Shortage, named: dict[Half, int]) -> str:
    string = string_label(session.get_one(StringType, short.string_id))
    if named:
        codes = session.scalars(select(Reel.code).where(Reel.id.in_(named.values())).order_by(Reel.code))
        where = f"Reel {' and '.join(codes)}"
    else:
        where = f"The longest reel of {string}"
    return (
        f"{where} has {short.longest_m:g} m left, the {short.part} of {job.code} need {short.need_m:g} m. "
        "Measure what is left and enter a correction, receive string, or name another reel."
    )


def _book(session: Session, job: Job, need: Need, cut: Cut, *, measured: bool, acting: Acting) -> list[ReelEntry]:
    reel_id = cut.reel_id
    entries = []
    common = {"at": acting.at, "by": acting.by, "job_id": job.id}
    if reel_id is None:
        reel_id = _loose_reel(session, job, need, cut.part).id
        entries.append(ReelEntry(reel_id=reel_id, kind="received", metres=cut.metres, part=cut.part, **common))
    flags = {"part": cut.part, "measured": measured}
    entries.append(ReelEntry(reel_id=reel_id, kind="use", metres=-cut.metres, **flags, **common))
    if cut.offcut_m:
        note = "rest of the set"
        entries.append(ReelEntry(reel_id=reel_id, kind="waste", metres=-cut.offcut_m, note=note, **common))
    session.add_all(entries)
    session.flush()
    return entries


def _loose_reel(session: Session, job: Job, need: Need, part: Half) -> Reel:
    owner_id = need.owner_of(part)
    string = session.get_one(StringType, need.bed[part].string_id)
    owner = "" if owner_id is None else f"-{session.get_one(Player, owner_id).code}"
    code = f"{LOOSE}-{string.code}{owner}"
    reel = session.scalar(select(Reel).where(Reel.event_id == job.event_id, Reel.code == code))
    if reel is None:
        reel = Reel(event_id=job.event_id, code=code, string_type_id=string.id, kind=LOOSE, owner_id=owner_id)
        session.add(reel)
        session.flush()
    return reel


def undo_use(session: Session, event: Event, job: Job, *, acting: Acting) -> list[ReelEntry]:
    """Book a racquet's string back by counter-entries; without booked string nothing is done."""
    what = (ReelEntry.reel_id, ReelEntry.kind, ReelEntry.part, ReelEntry.measured)
    found = select(*what, func.sum(ReelEntry.metres)).where(ReelEntry.job_id == job.id).group_by(*what).order_by(*what)
    entries = [
        ReelEntry(
            reel_id=reel_id,
            at=acting.at,
            by=acting.by,
            kind=kind,
            metres=-round(metres, 2),
            job_id=job.id,
            part=part,
            measured=measured,
            note=f"{job.code} taken back",
        )
        for reel_id, kind, part, measured, metres in session.execute(found)
        if abs(metres) > ROUNDING_M
    ]
    session.add_all(entries)
    session.flush()
    return entries
