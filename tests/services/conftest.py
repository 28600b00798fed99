import pytest
from sqlalchemy.orm import Session

from tests.services.small_desk import SmallDesk, small_desk


@pytest.fixture
def desk(session: Session) -> SmallDesk:
    """A small desk in records of its own."""
    return small_desk(session)
