"""What a rehearsal came to, as a workbook, JSON and pictures."""

from exports.rehearsal.rehearsal_files import rehearsal_json, rehearsal_workbook
from exports.rehearsal.rehearsal_pictures import load_picture, promise_picture
from exports.rehearsal.rehearsal_rows import (
    RehearsalReport,
    RehearsedHourRow,
    RehearsedPromiseRow,
    RehearsedStringerRow,
    RehearsedStringRow,
    RehearsedTeamRow,
    Spread,
    as_plain,
    from_plain,
)
from exports.rehearsal.supplier_sheet import supplier_csv, supplier_workbook

__all__ = [
    "RehearsalReport",
    "RehearsedHourRow",
    "RehearsedPromiseRow",
    "RehearsedStringRow",
    "RehearsedStringerRow",
    "RehearsedTeamRow",
    "Spread",
    "as_plain",
    "from_plain",
    "load_picture",
    "promise_picture",
    "rehearsal_json",
    "rehearsal_workbook",
    "supplier_csv",
    "supplier_workbook",
]
