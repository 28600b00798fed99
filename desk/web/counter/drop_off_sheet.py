"""Many drop-offs from one spreadsheet: looked at, what can be is taken in, and what cannot stays to be corrected."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from flask import Blueprint, Response, flash, request, url_for
from wtforms import HiddenField

from desk.errors import BadInput, InputFault, gathered
from desk.queries.counter import counter
from desk.queries.counter.visit_split import splits_of
from desk.queries.plan.own_bench import NOBODY, own_benches
from desk.services.counter.bulk_drop_offs import (
    ASKED,
    Bulk,
    BulkVisit,
    RefusedRow,
    Said,
    Taken,
    preview_bulk,
    take_bulk,
)
from desk.services.event_files import BulkSheet, ScriptedDropOff, read_bulk
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.web import context
from desk.web.counter.ready import priced
from desk.web.counter.sheet_rows import as_csv, brought, carried, corrected, field_name, without
from desk.web.counter.with_whom import SplitSpeaker, SplitWords
from desk.web.forms import KeyedForm, row_number, saving, see, show
from desk.web.table_files import SheetForm, empty_sheet, require_sheet

blueprint = Blueprint("drop_off_sheet", __name__)
DROP_OFFS = BY_NAME["dropoffs"]
ASKED_WORDS = {"low_meant": "It is meant so low", "frame_meant": "Looked at once more: the answer stands"}


class VisitsForm(SheetForm, KeyedForm):
    # The rows that were looked at go along with the page, so that exactly these are taken in.
    checked = HiddenField()
    name = HiddenField()

    @property
    def file_name(self) -> str:
        return self.name.data or "sheet"


@blueprint.get("/drop-off-sheet")
def page():
    return _show(VisitsForm())


def _show(form: VisitsForm, **values: object):
    return show("counter/drop_off/sheet.html", form=form, columns=DROP_OFFS.columns, **values)


@blueprint.post("/drop-off-sheet")
def check():
    form = VisitsForm()
    if not form.validate():
        return _show(form)
    try:
        return _looked_at(form, _sent(form))
    except BadInput as error:
        form.take(error)
        return _show(form)


def _sent(form: VisitsForm) -> BulkSheet:
    """Return the file just sent, or the rows that the page brought back as they were corrected there."""
    if form.file.data or not form.checked.data:
        data, name = form.sheet()
        require_sheet(data, "drop-offs")
        form.name.data = name
        return read_bulk(context.reading(), context.event_id(), data=data, file_name=name)
    return _again(form, corrected(brought(form.checked.data, DROP_OFFS), request.form))


def _again(form: VisitsForm, rows: dict[int, dict[str, str]]) -> BulkSheet:
    data = as_csv(rows, DROP_OFFS)
    require_sheet(data if rows else b"", "drop-offs")
    # CSV also where a workbook was sent: only its rows came back.
    name = form.file_name.removesuffix(".xlsx")
    return read_bulk(context.reading(), context.event_id(), data=data, file_name=name)


def _looked_at(form: VisitsForm, sheet: BulkSheet, taken: Taken | None = None):
    session, event = context.reading(), context.current_event()
    said = _said()
    bulk = preview_bulk(session, event, sheet.visits, request_key="preview", acting=context.acting(), said=said)
    form.checked.data = carried(sheet.cells)
    return _show(
        form,
        bulk=bulk,
        taken=taken,
        taken_count=0 if taken is None else sum(len(visit.jobs) for visit in taken.visits),
        left_out=_left_out(sheet, bulk),
        meant=sorted(one for one in said.meant if one[0] in sheet.cells),
        splits=_splits(bulk.visits),
        asked_words=ASKED_WORDS,
        names=counter.player_names(session, event),
        strings=dict(counter.string_choices(session, event)),
        about=[priced(event, one.form.player_id, one.drafts).all_own_minor for one in bulk.visits],
        field_name=field_name,
    )


def _left_out(sheet: BulkSheet, bulk: Bulk) -> list[tuple[int, dict[str, str], list[RefusedRow]]]:
    """Return each row that is not taken in, with its cells and what is wrong with it."""
    refused = {one.row: [one] for one in bulk.refused}
    refused |= {number: [_unread(number, fault) for fault in faults] for number, faults in sheet.faults.items()}
    return [(number, dict(sheet.cells[number]), refused[number]) for number in sorted(refused)]


def _unread(number: int, fault: InputFault) -> RefusedRow:
    (one,) = gathered([fault])
    columns = fault.where.partition(", column ")[2].split(" + ")
    known = tuple(column for column in columns if column in DROP_OFFS.by_name)
    return RefusedRow(row=number, why=f"Found {one.found}; expected {one.expected}.", columns=known)


@blueprint.post("/drop-off-sheet/take")
def take():
    form = VisitsForm()
    if not form.validate_on_submit():
        return _show(form)
    rows, seen = brought(form.checked.data or "", DROP_OFFS), _numbers("row")
    try:
        sheet = _again(form, rows)
    except BadInput as error:
        form.take(error)
        return _show(form)
    visits = [one for one in (_only(visit, seen) for visit in sheet.visits) if one.racquets]
    key, said = form.request_key.data or "", _said()
    with saving(form) as session:
        at, acting = context.event_id(), context.acting()
        taken = take_bulk(session, at, visits, request_key=key, acting=acting, said=said)
        count = sum(len(visit.jobs) for visit in taken.visits)
        if not rows.keys() - taken.rows:
            flash(f"{count} racquets of {form.file_name} are taken in, in {len(taken.visits)} visits.")
            return see(url_for("drop_off.page"))
    if form.trouble:
        return _looked_at(form, sheet)
    left = corrected(without(rows, taken.rows), request.form)
    return _looked_at(form, _again(form, left), taken)


def _only(visit: ScriptedDropOff, rows: Collection[int]) -> ScriptedDropOff:
    return replace(visit, racquets=tuple(one for one in visit.racquets if one.row in rows))


def _said() -> Said:
    asked, kept = ([text.partition(" ") for text in request.form.getlist(name)] for name in ("meant", "with_one"))
    numbered = [(row_number(row), row_number(stringer)) for row, _, stringer in kept]
    return Said(
        meant={(number, what) for row, _, what in asked if (number := row_number(row)) is not None and what in ASKED},
        with_one={row: stringer for row, stringer in numbered if row is not None and stringer is not None},
    )


def _splits(visits: Sequence[BulkVisit]) -> list[SplitWords | None]:
    """Return both ways of each visit that would go to several stringers."""
    session, event, at = context.reading(), context.current_event(), context.event_time()
    own = own_benches(session, event, {one.form.player_id for one in visits})
    asked = [(one.form.player_id, one.drafts) for one in visits]
    found = splits_of(session, event, asked, at, lambda player_id: own.get(player_id, NOBODY).stringer_id)
    speaker = SplitSpeaker(*counter.bench_names(session, event))
    return [
        None if split is None else speaker.words(split, [racquet.number for racquet in one.visit.racquets])
        for one, split in zip(visits, found, strict=True)
    ]


def _numbers(name: str) -> set[int]:
    return {number for one in request.form.getlist(name) if (number := row_number(one)) is not None}


@blueprint.get("/drop-off-sheet/empty.csv")
def empty() -> Response:
    return empty_sheet(DROP_OFFS)
