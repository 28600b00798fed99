"""LibreOffice without a screen, as a second reader of what the writers write."""

import csv
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

OFFICE = shutil.which("soffice")
needs_office = pytest.mark.skipif(OFFICE is None, reason="LibreOffice (soffice) is not installed")

RAW, SHOWN = "false", "true"


def convert(workbook: bytes, folder: Path, to: str) -> Path:
    """Convert a workbook; return the folder with what came of it."""
    return _convert({"report.xlsx": workbook}, folder, to)


def _convert(files: dict[str, bytes], folder: Path, to: str, *options: str) -> Path:
    """Convert files by one start of the office, which is most of its time, with a profile kept beside the folder."""
    for name, content in files.items():
        (folder / name).write_bytes(content)
    out = folder / to.split(":", maxsplit=1)[0]
    profile = f"-env:UserInstallation={(folder.parent / 'office-profile').as_uri()}"
    command = [str(OFFICE), profile, "--headless", *options, "--convert-to", to, "--outdir", str(out)]
    sources = [str(folder / name) for name in files]
    subprocess.run([*command, *sources], check=True, capture_output=True, timeout=180)
    return out


def open_german(csv_files: dict[str, bytes], folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Open CSV files as a spreadsheet with German settings does, numbers recognised; return the rows of each."""
    files = {f"{name}.csv": content for name, content in csv_files.items()}
    out = _convert(files, folder, "xlsx", "--infilter=CSV:59,34,76,1,,1031,false,true,false")
    books = {name: load_workbook(out / f"{name}.xlsx") for name in csv_files}
    return {name: list(book.worksheets[0].iter_rows(values_only=True)) for name, book in books.items()}


def csv_sheets(workbook: bytes, folder: Path, cells: str) -> dict[str, list[list[str]]]:
    """Return the rows of every sheet as LibreOffice reads them, by the sheet's name."""
    return csv_books({"report": workbook}, folder, cells)["report"]


def csv_books(workbooks: dict[str, bytes], folder: Path, cells: str) -> dict[str, dict[str, list[list[str]]]]:
    """Return the rows of every sheet of several workbooks, by the names of workbook and sheet."""
    options = f"csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,false,{cells},false,false,-1"
    out = _convert({f"{name}.xlsx": content for name, content in workbooks.items()}, folder, options)
    return {
        name: {
            path.stem.removeprefix(f"{name}-"): list(csv.reader(path.read_text("utf-8").splitlines()))
            for path in out.glob(f"{name}-*.csv")
        }
        for name in workbooks
    }
