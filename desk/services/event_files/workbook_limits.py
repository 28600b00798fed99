"""What a workbook may unpack to, counted while it is unpacked and before any of it is understood.

A file of 5 kB can name a cell in row 20 000 of column ZZ, merge a million cells or unpack to gigabytes.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from dataclasses import dataclass

DAMAGED = "a file that is no workbook or a damaged one"
MOST_PARTS = 2_000
_CHUNK = 1 << 20
_OVERLAP = 200
_CELL = re.compile(rb"<(?:\w+:)?c[\s/>]")
_FAR = re.compile(rb'<(?:\w+:)?(?:c|row)\b[^>]{0,150}?\br="([A-Z]{0,4})(\d{1,9})"')
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\b[^>]{0,60}?\bref="([A-Z]{1,4})(\d{1,8}):([A-Z]{1,4})(\d{1,8})"')


@dataclass(frozen=True, kw_only=True)
class Limits:
    """How much a workbook may hold: bytes packed and unpacked, and in sheets rows, columns and cells.

    `tags` limits everything beside the sheets (texts, styles), of which one is read as slowly as a cell.
    """

    packed: int
    unpacked: int
    rows: int
    columns: int
    cells: int
    tags: int


EVENT = Limits(packed=20_000_000, unpacked=200_000_000, rows=60_000, columns=256, cells=2_000_000, tags=4_000_000)
ONE_TABLE = Limits(packed=300_000, unpacked=12_000_000, rows=6_000, columns=256, cells=60_000, tags=120_000)


def size_problem(data: bytes, limits: Limits) -> str:
    """Return what is too much in a workbook, as a message names what was found; empty when all is well."""
    if not data:
        return "nothing in it"
    if len(data) > limits.packed:
        return f"a file of more than {limits.packed // 1000:,} kB"
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _Counting(archive, limits).problem()
    except zipfile.BadZipFile as error:
        return "a file that is no workbook" if "not a zip file" in str(error) else DAMAGED
    except (EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error):
        return DAMAGED


class _Counting:
    """One workbook while it is unpacked."""

    def __init__(self, archive: zipfile.ZipFile, limits: Limits) -> None:
        self.archive, self.limits = archive, limits
        self.unpacked = self.cells = self.tags = 0

    def problem(self) -> str:
        parts = self.archive.infolist()
        if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > self.limits.unpacked:
            return "a file that unpacks to an unreasonable size"
        return next((problem for part in parts if (problem := self._in_part(part))), "")

    def _in_part(self, part: zipfile.ZipInfo) -> str:
        is_sheet, is_xml = "worksheets/" in part.filename, part.filename.endswith((".xml", ".rels", ".vml"))
        tail = b""
        with self.archive.open(part) as opened:
            while chunk := opened.read(_CHUNK):
                self.unpacked += len(chunk)
                if self.unpacked > self.limits.unpacked:
                    return "a file that unpacks to an unreasonable size"
                if not is_xml:
                    continue
                problem = self._in_sheet(tail, chunk) if is_sheet else self._beside(chunk)
                if problem or b"<!DOCTYPE" in chunk or b"<!ENTITY" in chunk:
                    return problem or "a file with definitions of its own (DOCTYPE)"
                tail = chunk[-_OVERLAP:]
        return ""

    def _in_sheet(self, tail: bytes, chunk: bytes) -> str:
        # A tag cut by the end of a chunk is counted with the next one; one within the overlap twice, which is no harm.
        text = tail + chunk
        self.cells += len(_CELL.findall(chunk))
        for letters, digits in _FAR.findall(text):
            if int(digits) > self.limits.rows:
                return f"something in row {digits.decode()}, far outside of a table"
            if _column(letters) > self.limits.columns:
                return f"something in column {letters.decode()}, far outside of a table"
        for left, top, right, bottom in _MERGED.findall(text):
            self.cells += (1 + abs(_column(right) - _column(left))) * (1 + abs(int(bottom) - int(top)))
        return f"more than {self.limits.cells:,} cells" if self.cells > self.limits.cells else ""

    def _beside(self, chunk: bytes) -> str:
        self.tags += chunk.count(b"<")
        return "more texts and styles than a table needs" if self.tags > self.limits.tags else ""


def _column(letters: bytes) -> int:
    """Return the number of a column: A is 1, Z 26, AA 27."""
    number = 0
    for letter in letters:
        number = 26 * number + letter - 64
    return number
