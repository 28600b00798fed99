"""Tests of the tables themselves have a database each."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from desk.models.database import Database
from tests.databases import postgres_database


@pytest.fixture
def postgres(postgres_server: str, postgres_template: str) -> Iterator[Database]:
    """Empty records in a PostgreSQL database of their own."""
    with postgres_database(postgres_server, postgres_template) as url, Database(url) as found:
        yield found
