"""The morning's calibration: all machines by two tensions in one grid, typed down the column."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from flask import Blueprint, flash, url_for
from wtforms import RadioField
from wtforms.validators import InputRequired, NumberRange, Optional

from desk.models import Calibration
from desk.queries.machines.machines import MachineRow, machine_rows
from desk.queries.machines.readings_due import ReadingsDue, readings_due
from desk.services.machines import calibrating
from desk.web import context
from desk.web.display import UNIT_WORDS
from desk.web.forms import DeskForm, FigureField, options, saving, see, show

blueprint = Blueprint("calibration", __name__)
USUAL = {"kg": (Decimal(20), Decimal(25)), "lb": (Decimal(45), Decimal(55))}
TENSION = NumberRange(1, 100, "1 to 100")
BOTH = "read both tensions, or neither"


class GridForm(DeskForm):
    """Two tensions for all machines; `grid_form` adds two readings for each of them."""

    rows: Sequence[MachineRow] = ()
    unit = RadioField(
        "The gauge reads in", choices=options(UNIT_WORDS.items()), validators=[InputRequired("choose pounds or kilos")]
    )
    reference_1 = FigureField("First tension set", [InputRequired("give the figure"), TENSION])
    reference_2 = FigureField("Second tension set", [InputRequired("give the figure"), TENSION])

    def cells(self, row: MachineRow) -> tuple[FigureField, FigureField]:
        """Return the fields of the two readings of a machine."""
        return self[f"m{row.machine_id}_1"], self[f"m{row.machine_id}_2"]

    def validate(self, extra_validators: object = None) -> bool:
        valid = super().validate(extra_validators)
        for cells in map(self.cells, self.rows):
            if (cells[0].data is None) != (cells[1].data is None) and not any(cell.errors for cell in cells):
                missing = cells[0] if cells[0].data is None else cells[1]
                missing.errors, valid = [*missing.errors, BOTH], False
        if valid and not self.readings():
            self.trouble, valid = "No reading was typed; nothing was stored.", False
        return valid

    def readings(self) -> dict[int, list[calibrating.Reading]]:
        """Return the two readings of each machine that was read, by its id."""
        references = (self.reference_1.data, self.reference_2.data)
        return {
            row.machine_id: [
                calibrating.Reading(reference=reference, reading=cell.data, unit=self.unit.data)
                for reference, cell in zip(references, self.cells(row), strict=True)
            ]
            for row in self.rows
            if self.cells(row)[0].data is not None
        }


def grid_form(rows: Sequence[MachineRow], **values: object) -> GridForm:
    """Return a form with two readings for each of ROWS."""
    names = [f"m{row.machine_id}_{turn}" for row in rows for turn in (1, 2)]
    fields = {name: FigureField("Gauge then read", [Optional(), TENSION]) for name in names}
    return type("FullGridForm", (GridForm,), fields | {"rows": rows})(**values)


def as_last_time(rows: Sequence[MachineRow]) -> dict[str, object]:
    """Return the unit and the two tensions at which a machine of ROWS was read last, else usual ones."""
    last = next((row.readings[-2:] for row in rows if len(row.readings) == 2), ())
    unit = last[0].unit if last else "kg"
    first, second = [one.reference for one in last] or USUAL[unit]
    return {"unit": unit, "reference_1": first, "reference_2": second}


def _rows() -> list[MachineRow]:
    found = machine_rows(context.reading(), context.current_event(), context.event_time(), readings=2)
    return [row for row in found if row.out_since is None]


def _shown(form: GridForm):
    return show(
        "machines/calibration.html",
        form=form,
        tolerance_lb=context.current_event().calibration_tolerance_lb,
        waiting=sum(not row.calibrated for row in form.rows),
    )


@blueprint.app_template_global("readings_due")
def due() -> ReadingsDue:
    """Return which machines have no reading yet today, for every screen that says so."""
    return readings_due(context.reading(), context.current_event(), context.event_time())


@blueprint.get("/calibration")
def page():
    rows = _rows()
    return _shown(grid_form(rows, formdata=None, data=as_last_time(rows)))


@blueprint.post("/calibration")
def keep():
    form = grid_form(_rows())
    if form.validate_on_submit():
        with saving(form) as session:
            event_id, acting = context.event_id(), context.acting()
            read = [
                calibrating.calibrate(session, event_id, one, rows, acting=acting)
                for one, rows in form.readings().items()
            ]
            flash(_said(read))
            return see(url_for("machines.page"))
    return _shown(form)


def _said(read: list[list[Calibration]]) -> str:
    passed = sum(all(one.passed for one in rows) for rows in read)
    said = f"{passed} of {len(read)} are within the tolerance and may string today."
    return said if passed == len(read) else f"{said} The plan leaves the others out until they pass."
