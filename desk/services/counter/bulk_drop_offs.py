"""Many drop-offs at once, from a sheet: the rows that the desk can take, and why it cannot take the others."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, DeskError
from desk.models import DropOff, Event
from desk.queries.counter.drop_off_preview import Draft, preview_all
from desk.services.acting import Acting, lock_event
from desk.services.counter import drop_offs
from desk.services.counter.scripted_forms import Codes
from desk.services.counter.takeable import require_takeable
from desk.services.event_files import ScriptedDropOff, ScriptedRacquet
from desk.trade.drop_off_forms import DropOffForm

TENSIONS = ("mains_tension", "crosses_tension")
COLUMNS = {
    "consent": ("consent",),
    "pieces": ("pieces",),
    "tension": TENSIONS,
    "low_meant": TENSIONS,
    "extra_work": ("extra_work",),
    "frame_check": ("frame_check", "found"),
    "frame_meant": ("frame_check", "found"),
}
ASKED = ("low_meant", "frame_meant")


@dataclass(frozen=True, kw_only=True)
class Said:
    """What somebody said of a sheet that was looked at.

    `meant` are rows that were asked about, each with what was asked. `with_one` names, by a row of a visit, the
    stringer with whom all of it stays.
    """

    meant: Collection[tuple[int, str]] = ()
    with_one: Mapping[int, int] = field(default_factory=dict)


SAID_NOTHING = Said()


@dataclass(frozen=True, kw_only=True)
class BulkVisit:
    """A visit of a sheet with what each of its racquets would get."""

    visit: ScriptedDropOff
    form: DropOffForm
    drafts: tuple[Draft, ...]


@dataclass(frozen=True, kw_only=True)
class RefusedRow:
    """A row that the desk cannot take as it is: why, and in which columns it would be put right.

    One that `asks` is taken where somebody says that it is meant so: low_meant or frame_meant.
    """

    row: int
    why: str
    columns: tuple[str, ...]
    asks: str = ""


@dataclass(frozen=True, kw_only=True)
class Bulk:
    """The visits of a sheet as they would be taken in, without the rows that are refused."""

    visits: tuple[BulkVisit, ...]
    refused: tuple[RefusedRow, ...]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """What was taken in of a sheet: the visits and their rows; and what was refused meanwhile."""

    visits: tuple[DropOff, ...]
    rows: frozenset[int]
    refused: tuple[RefusedRow, ...]


def preview_bulk(
    session: Session,
    event: Event,
    visits: Sequence[ScriptedDropOff],
    *,
    request_key: str,
    acting: Acting,
    said: Said = SAID_NOTHING,
) -> Bulk:
    """Return the visits as they would be taken in now, one behind the other; nothing is stored."""
    codes = Codes(session, event.id)
    can, refused = _sorted(session, codes, visits, said)
    forms = [_form(session, codes, visit, said, request_key) for visit in can]
    drafts = preview_all(session, event, forms, acting.at) if forms else []
    found = zip(can, forms, drafts, strict=True)
    return Bulk(
        visits=tuple(BulkVisit(visit=visit, form=form, drafts=tuple(each)) for visit, form, each in found),
        refused=tuple(refused),
    )


def _form(session: Session, codes: Codes, visit: ScriptedDropOff, said: Said, request_key: str) -> DropOffForm:
    form = codes.form(session, visit)
    asked = zip(visit.racquets, form.racquets, strict=True)
    one = next((said.with_one[racquet.row] for racquet in visit.racquets if racquet.row in said.with_one), None)
    racquets = [
        replace(racquet, stringer_id=one, **{what: (written.row, what) in said.meant for what in ASKED})
        for written, racquet in asked
    ]
    return replace(form, racquets=racquets, request_key=_key(request_key, visit.racquets[0]))


def _key(request_key: str, first: ScriptedRacquet) -> str:
    return f"{request_key}-{first.row}"


def _sorted(
    session: Session, codes: Codes, visits: Iterable[ScriptedDropOff], said: Said
) -> tuple[list[ScriptedDropOff], list[RefusedRow]]:
    """Return the visits without the racquets that are refused, and these."""
    can, refused = [], []
    rows: dict[tuple[str, int], int] = {}
    for visit in visits:
        good = []
        for one in visit.racquets:
            before = rows.setdefault((visit.player_code, one.number), one.row)
            alone = replace(visit, racquets=(one,))
            why = _why_refused(session, _form(session, codes, alone, said, "")) if before == one.row else _twice(before)
            if why is None:
                good.append(one)
            else:
                refused.append(replace(why, row=one.row))
        if good:
            can.append(replace(visit, racquets=tuple(good)))
    return can, refused


def _twice(before: int) -> RefusedRow:
    return RefusedRow(row=0, why=f"The same racquet stands in row {before} already.", columns=("racquet",))


def _why_refused(session: Session, form: DropOffForm) -> RefusedRow | None:
    try:
        require_takeable(session, form)
    except DeskError as error:
        return _refused(error)
    return None


def _refused(error: DeskError, row: int = 0) -> RefusedRow:
    fields = error.fields if isinstance(error, BadInput) else {}
    columns = tuple(column for field in fields for column in COLUMNS.get(field, ()))
    asks = next((one for one in ASKED if one in fields), "")
    return RefusedRow(row=row, why=str(error), columns=columns or ("racquet",), asks=asks)


def take_bulk(
    session: Session,
    event_id: int,
    visits: Sequence[ScriptedDropOff],
    *,
    request_key: str,
    acting: Acting,
    said: Said = SAID_NOTHING,
) -> Taken:
    """Store what can be taken of the visits of a sheet as dropped off now, each with its promises.

    The same rows sent twice with one REQUEST_KEY count once. A visit is stored whole or not at all.
    """
    event = lock_event(session, event_id)
    before = _taken_before(session, event_id, visits, request_key)
    rows = {row for _, of_visit in before for row in of_visit}
    left = [_without(visit, rows) for visit in visits]
    found = preview_bulk(
        session, event, [one for one in left if one.racquets], request_key=request_key, acting=acting, said=said
    )
    taken, refused = [visit for visit, _ in before], list(found.refused)
    for one in found.visits:
        numbers = [racquet.row for racquet in one.visit.racquets]
        try:
            with session.begin_nested():
                taken.append(take_visit(session, event_id, one, acting))
            rows.update(numbers)
        except DeskError as error:
            refused += [_refused(error, row) for row in numbers]
    return Taken(visits=tuple(taken), rows=frozenset(rows), refused=tuple(refused))


def _without(visit: ScriptedDropOff, rows: Collection[int]) -> ScriptedDropOff:
    return replace(visit, racquets=tuple(one for one in visit.racquets if one.row not in rows))


def _taken_before(
    session: Session, event_id: int, visits: Sequence[ScriptedDropOff], request_key: str
) -> list[tuple[DropOff, list[int]]]:
    """Return what this very sheet has brought already, each visit with its rows."""
    keys = {_key(request_key, one): visit for visit in visits for one in visit.racquets}
    found = select(DropOff).where(DropOff.event_id == event_id, DropOff.request_key.in_(keys)).order_by(DropOff.id)
    taken = []
    for drop_off in session.scalars(found):
        numbers = {job.racquet.number for job in drop_off.jobs}
        rows = [one.row for one in keys[drop_off.request_key].racquets if one.number in numbers]
        taken.append((drop_off, rows))
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
