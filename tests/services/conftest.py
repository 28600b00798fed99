"""A racquet of the small desk."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import SmallDesk


@pytest.fixture
def job(session: Session, desk: SmallDesk) -> Job:
    """The first racquet of the small desk, taken in at noon."""
    return take_drop_off(session, desk.event.id, desk.form(), acting=make.acting("Mon 12:00")).jobs[0]
