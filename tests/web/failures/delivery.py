"""String that comes, entered by the store's form: a write whose fate can be looked up."""

from sqlalchemy import select

from desk.models import Reel
from tests.web.conftest import House


def reel_of(house: House) -> int:
    return house.scalars(select(Reel.id)).first()


def receive(house: House, reel_id: int):
    form = {"what": "receive", "metres": "12.5", "note": "came with the runner"}
    return house.as_role("lead").post(f"/store/reel/{reel_id}/entry", data=form)
