"""A store with a plan in records of its own."""

import pytest

from desk.models.database import Database
from tests.queries.string.planned_store import planned_store


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield planned_store(session)
