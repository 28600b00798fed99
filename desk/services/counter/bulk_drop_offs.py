"""Many drop-offs at once, from a sheet: all of them or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from desk.errors import BadInput, DeskError, InputFault
from desk.models import DropOff, Event
from desk.queries.counter.drop_off_preview import Draft, preview_all
from desk.services.acting import Acting, lock_event
from desk.services.counter import drop_offs
from desk.services.counter.scripted_forms import Codes
from desk.services.event_files import ScriptedDropOff
from desk.trade.drop_off_forms import DropOffForm


@dataclass(frozen=True, kw_only=True)
class BulkVisit:
    """A visit of a sheet with what each of its racquets would get, or why the desk cannot take it."""

    visit: ScriptedDropOff
    form: DropOffForm
    drafts: tuple[Draft, ...]
    refused: str = ""


def preview_bulk(
    session: Session, event: Event, visits: Sequence[ScriptedDropOff], *, request_key: str, acting: Acting
) -> list[BulkVisit]:
    """Return the visits as they would be taken in now, one behind the other; nothing is stored.

    The frames are not looked over with their owners, so nothing says that they were.
    """
    codes = Codes(session, event.id)
    forms = [
        replace(codes.form(session, visit), request_key=f"{request_key}-{number}", frame_checked=False)
        for number, visit in enumerate(visits, start=1)
    ]
    drafts = preview_all(session, event, forms, acting.at)
    return [
        BulkVisit(visit=visit, form=form, drafts=tuple(of_visit), refused=_why_refused(session, form))
        for visit, form, of_visit in zip(visits, forms, drafts, strict=True)
    ]


def _why_refused(session: Session, form: DropOffForm) -> str:
    try:
        drop_offs.require_takeable(session, form)
    except DeskError as error:
        return str(error)
    return ""


def take_bulk(
    session: Session, event_id: int, visits: Sequence[ScriptedDropOff], *, request_key: str, acting: Acting
) -> list[DropOff]:
    """Store the visits of a sheet as dropped off now, each with its promises.

    The same sheet sent twice with one REQUEST_KEY counts once. Refused with a fault for each visit that the desk
    cannot take.
    """
    event = lock_event(session, event_id)
    taken: list[DropOff] = []
    faults: list[InputFault] = []
    for one in preview_bulk(session, event, visits, request_key=request_key, acting=acting):
        try:
            taken.append(take_visit(session, event_id, one, acting))
        except DeskError as error:
            where = f"row {one.visit.racquets[0].row}, player {one.visit.player_code}"
            faults.append(
                InputFault(where=where, found=str(error), expected="this put right, or the row taken out of the sheet")
            )
    if faults:
        count = "One visit" if len(faults) == 1 else f"{len(faults)} visits"
        raise BadInput(
            f"{count} cannot be taken in, so nothing of the sheet was. Correct it and try again.", faults=faults
        )
    return taken


def take_visit(session: Session, event_id: int, one: BulkVisit, acting: Acting) -> DropOff:
    """Take a visit in with the times that stood on the screen, or later ones: nobody told these players any yet."""
    try:
        return drop_offs.take_drop_off(session, event_id, _with_times(one), acting=acting)
    except drop_offs.LaterThanShown:
        return drop_offs.take_drop_off(session, event_id, one.form, acting=acting)


def _with_times(one: BulkVisit) -> DropOffForm:
    """Return the form with ready times that count the visits before it, which are in no plan yet."""
    racquets = [
        replace(racquet, shown_ready_at=None if draft.quote is None else draft.quote.ready_at)
        for racquet, draft in zip(one.form.racquets, one.drafts, strict=True)
    ]
    return replace(one.form, racquets=racquets)
