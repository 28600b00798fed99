"""One bench in records of its own."""

import pytest
from sqlalchemy.orm import Session

from tests.services.promise.one_bench import OneBench


@pytest.fixture
def bench(session: Session) -> OneBench:
    return OneBench(session)
