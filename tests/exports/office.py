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
    """Convert a workbook, with a profile kept beside the folder; return the folder with what came of it."""
    source = folder / "report.xlsx"
    source.write_bytes(workbook)
    out = folder / to.split(":", maxsplit=1)[0]
    profile = f"-env:UserInstallation={(folder.parent / 'office-profile').as_uri()}"
    command = [str(OFFICE), profile, "--headless", "--convert-to", to, "--outdir", str(out), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return out


def open_german(csv_file: bytes, folder: Path) -> list[tuple[Any, ...]]:
    """Open a CSV file as a spreadsheet with German settings does, its numbers recognised; return the cells by row."""
    source = folder / "table.csv"
    source.write_bytes(csv_file)
    profile = f"-env:UserInstallation={(folder.parent / 'office-profile').as_uri()}"
    reads = "--infilter=CSV:59,34,76,1,,1031,false,true,false"
    command = [str(OFFICE), profile, "--headless", reads, "--convert-to", "xlsx", "--outdir", str(folder), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    sheet = load_workbook(folder / "table.xlsx").worksheets[0]
    return list(sheet.iter_rows(values_only=True))


def csv_sheets(workbook: bytes, folder: Path, cells: str) -> dict[str, list[list[str]]]:
    """Return the rows of every sheet as LibreOffice reads them, by the sheet's name."""
    options = f"csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,false,{cells},false,false,-1"
    out = convert(workbook, folder, options)
    return {
        path.stem.removeprefix("report-"): list(csv.reader(path.read_text("utf-8").splitlines()))
        for path in out.glob("*.csv")
    }
