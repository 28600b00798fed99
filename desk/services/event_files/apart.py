"""A sent file is read by a process of its own, with an end to its time and memory, so that no other request waits.

`python -m desk.services.event_files.apart TABLE LABEL` reads a file from standard input.
"""

from __future__ import annotations

import json
import subprocess
import sys

from desk.errors import InputFault
from desk.services.event_files.folder import csv_table
from desk.services.event_files.raw import RawRow, RawTable
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Table
from desk.services.event_files.workbook import sheet_table
from desk.services.event_files.workbook_limits import ONE_TABLE, size_problem

SECONDS = 20.0
MOST_MEMORY = 1 << 30
MOST_FAULTS = 500
_ZIP = b"PK"


def is_workbook(data: bytes, name: str) -> bool:
    """Tell whether a file is to be read as a workbook rather than as CSV."""
    return data.startswith(_ZIP) or name.lower().endswith(".xlsx")


def read_apart(table: Table, data: bytes, label: str, faults: list[InputFault]) -> RawTable:
    """Return the raw rows of one table in a CSV file or workbook that somebody sent."""
    if not is_workbook(data, label):
        return _read_csv(table, data, label, faults)
    problem = size_problem(data, ONE_TABLE)
    if not problem:
        command = [sys.executable, "-m", __name__, table.name, label]
        try:
            done = subprocess.run(command, input=data, capture_output=True, timeout=SECONDS, check=True)
            return _unpacked(json.loads(done.stdout), faults)
        except subprocess.TimeoutExpired:
            problem = f"a file that takes longer than {SECONDS:g} seconds to read"
        except (subprocess.CalledProcessError, ValueError):
            problem = "a file that is no workbook or a damaged one"
    faults.append(InputFault(where=label, found=problem, expected="a workbook saved as .xlsx"))
    return RawTable(label)


def _read_csv(table: Table, data: bytes, label: str, faults: list[InputFault]) -> RawTable:
    lines = data.splitlines()
    if len(lines) > ONE_TABLE.rows:
        faults.append(InputFault(where=label, found=f"more than {ONE_TABLE.rows:,} rows", expected="it in parts"))
    elif any(line.count(sign) >= ONE_TABLE.columns for line in lines for sign in (b",", b";", b"\t")):
        faults.append(InputFault(where=label, found=f"more than {ONE_TABLE.columns} columns", expected="one table"))
    else:
        return csv_table(table, data, label, faults)
    return RawTable(label)


def _unpacked(told: dict, faults: list[InputFault]) -> RawTable:
    faults += [InputFault(where=where, found=found, expected=expected) for where, found, expected in told["faults"]]
    return RawTable(told["label"], [RawRow(number, cells) for number, cells in told["rows"]])


def _packed(raw: RawTable, faults: list[InputFault]) -> dict:
    listed = [(fault.where, fault.found, fault.expected) for fault in faults[:MOST_FAULTS]]
    return {"label": raw.label, "rows": [(row.number, row.cells) for row in raw.rows], "faults": listed}


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:
        return  # Windows has no such limit; the count of cells holds there.
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def main() -> None:
    """Read one table from standard input and print it."""
    _limit_memory()
    faults: list[InputFault] = []
    raw = sheet_table(BY_NAME[sys.argv[1]], sys.stdin.buffer.read(), sys.argv[2], faults)
    json.dump(_packed(raw, faults), sys.stdout)


if __name__ == "__main__":
    main()
