"""A desk with prices in records of its own."""

import pytest

from desk.models.database import Database
from tests.services.money.priced_desk import priced_desk


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield priced_desk(session)
