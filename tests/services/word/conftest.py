"""A desk whose player asked to be told."""

import pytest
from sqlalchemy.orm import Session

from tests.services.word.asked import AskedDesk


@pytest.fixture
def desk(session: Session) -> AskedDesk:
    return AskedDesk(session)
