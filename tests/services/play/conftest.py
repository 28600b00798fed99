"""A day of matches in records of its own."""

import pytest
from sqlalchemy.orm import Session

from tests.services.play.match_day import MatchDay


@pytest.fixture
def day(session: Session) -> MatchDay:
    return MatchDay(session)
