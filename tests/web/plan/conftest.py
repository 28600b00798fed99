"""Three racquets in a plan, in a house of its own."""

import pytest
from sqlalchemy.orm import Session

from desk.services.counter.drop_offs import take_drop_off
from desk.services.plan.planning import Effort, plan_event
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House
from tests.web.plan.planned_house import move_in

NOON = make.acting("Mon 12:00")


@pytest.fixture
def desk(house: House) -> SmallDesk:
    """Three racquets of one player in the plan of two stringers, at 12:00."""

    def fill(session: Session, desk: SmallDesk) -> None:
        take_drop_off(session, desk.event.id, desk.bag(3), acting=NOON)

    found = move_in(house, fill, at="Mon 12:00")
    plan_event(house.database, found.event.id, at=NOON.at, effort=Effort(seconds=0.2))
    return found
