"""The sheet of the ten jobs, made once."""

import shutil
from pathlib import Path

import pytest

from desk.models.database import Database
from exports.report import UsageReport
from tests.queries.close.ten_jobs import report_of_ten_jobs


@pytest.fixture(scope="session")
def report(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> UsageReport:
    database = Database(f"sqlite:///{shutil.copy(sqlite_template, tmp_path_factory.mktemp('ten') / 'desk.sqlite')}")
    found = report_of_ten_jobs(database)
    database.dispose()
    return found
