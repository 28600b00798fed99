import pytest

from tests import make
from tests.web.conftest import House


@pytest.fixture
def week(house: House) -> House:
    """A house with two stringers at two machines, four players, and no order of play yet."""

    def fill(session, event) -> None:
        for _ in range(2):
            machine = make.make_machine(session, event)
            make.make_stringer(session, event, home_machine_id=machine.id)
        for _ in range(4):
            make.make_player(session, event)

    house.write(fill)
    return house
