"""What the database refuses, said so that a user can act on it."""

from __future__ import annotations

from sqlalchemy.engine import ExceptionContext

from desk.errors import BadInput, Busy, DeskError

BUSY = "The records are busy at the moment. Nothing was stored; try again."
AWAY = "The records cannot be reached at the moment. Nothing was stored; try again."
UNSURE = (
    "The records went away before they said whether this was stored. Send it again as it stands: where it was stored, "
    "it counts once."
)
FULL = "The disk that holds the records is full. Nothing was stored; make room, then try again."
UNWRITABLE = "The disk that holds the records cannot be read or written. Nothing was stored; see to the disk."
DAMAGED = (
    "A part of the records is damaged. Nothing was stored; whoever runs the desk ends it and brings back the newest "
    "copy: `restore FILE --set-aside`."
)
TOO_LARGE = "A number or a text in it is larger than the records can hold. Nothing was stored."

_OF_SQLITE = {
    "database is locked": BUSY,
    "database table is locked": BUSY,
    "database is busy": BUSY,
    "database or disk is full": FULL,
    "disk I/O error": UNWRITABLE,
    "unable to open database file": UNWRITABLE,
    "attempt to write a readonly database": UNWRITABLE,
    "database disk image is malformed": DAMAGED,
    "malformed database schema": DAMAGED,
    "file is not a database": DAMAGED,
}
_OF_POSTGRES = {
    "55P03": BUSY,
    "57014": BUSY,
    "40001": BUSY,
    "40P01": BUSY,
    "53200": BUSY,
    "53300": BUSY,
    "57P03": BUSY,
    "25P03": AWAY,
    "57P01": AWAY,
    "57P02": AWAY,
    "53100": FULL,
    "58030": UNWRITABLE,
    "25006": UNWRITABLE,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
}
"""By SQLSTATE (PostgreSQL, "Appendix A. PostgreSQL Error Codes")."""


def plain_error(context: ExceptionContext) -> DeskError | None:
    """Return what stands behind an error of the database; None leaves it as it is."""
    error = context.original_exception
    if isinstance(error, OverflowError):
        return BadInput(TOO_LARGE)
    code, text = getattr(error, "sqlstate", None) or "", str(error)
    told = _OF_POSTGRES.get(code) or next((said for begin, said in _OF_SQLITE.items() if text.startswith(begin)), None)
    if told is None and context.is_disconnect and context.connection is not None:
        told = AWAY
    if told == AWAY and code != "25P03" and context.connection is not None and context.statement is None:
        # No statement was refused: it is the end of the transaction that nobody answered for.
        told = UNSURE
    if told is not None:
        return Busy(told)
    too_large = code.startswith("22") or "pattern too complex" in text or "string or blob too big" in text
    # psycopg refuses a text with a zero byte before the server sees it.
    if too_large or "(0x00)" in text:
        return BadInput(TOO_LARGE)
    return None
