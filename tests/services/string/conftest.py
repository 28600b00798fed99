"""A desk with a reel in records of its own."""

import pytest

from desk.models.database import Database
from tests.services.string.reel_desk import reel_desk


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield reel_desk(session)
