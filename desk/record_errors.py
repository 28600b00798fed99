"""What the database refuses, said so that a user can act on it."""

from __future__ import annotations

from sqlalchemy.engine import ExceptionContext

from desk.errors import BadInput, Busy, DeskError

BUSY = "The records are busy at the moment. Nothing was stored; try again."
FULL = "The disk that holds the records is full. Nothing was stored; make room, then try again."
UNWRITABLE = "The disk that holds the records cannot be read or written. Nothing was stored; see to the disk."
TOO_LARGE = "A number or a text in it is larger than the records can hold. Nothing was stored."

_BUSY_SQLITE = ("database is locked", "database table is locked", "database is busy")
_FULL_SQLITE = ("database or disk is full",)
_BUSY_POSTGRES = ("55P03", "57014", "40001", "40P01", "53300", "57P03")
_FULL_POSTGRES = ("53100", "53200")


def plain_error(context: ExceptionContext) -> DeskError | None:
    """Return what stands behind an error of the database; None leaves it as it is."""
    error = context.original_exception
    if isinstance(error, OverflowError):
        return BadInput(TOO_LARGE)
    code, text = getattr(error, "sqlstate", None) or "", str(error)
    if code in _BUSY_POSTGRES or text.startswith(_BUSY_SQLITE):
        return Busy(BUSY)
    if code in _FULL_POSTGRES or text.startswith(_FULL_SQLITE):
        return Busy(FULL)
    if text.startswith("disk I/O error"):
        return Busy(UNWRITABLE)
    too_large = code.startswith("22") or "pattern too complex" in text or "string or blob too big" in text
    # psycopg refuses a text with a zero byte before the server sees it.
    if too_large or "(0x00)" in text:
        return BadInput(TOO_LARGE)
    return None
