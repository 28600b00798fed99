"""The counter with a player whom the desk knows: racquets strung before, and what the forms take for them."""

import re
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import select

from desk.models import Event, Job, JobCard, Player
from tests import make
from tests.web.conftest import House

SHOWN = re.compile(r'name="(shown-\d+)" value="([^"]+)"')


@dataclass(frozen=True)
class Counter:
    """The desk's own client at a counter, with a player who has three racquets strung before and one new."""

    house: House
    player_id: int
    racquets: tuple[int, ...]
    string_id: int

    def get(self, address: str, **options):
        return self.house.as_role("desk").get(address, **options)

    def post(self, address: str, data: dict | None = None):
        return self.house.as_role("desk").post(address, data=data or {})

    @property
    def address(self) -> str:
        return f"/drop-off/{self.player_id}"

    def shown(self, data: dict) -> dict:
        """Return DATA with the ready times that the counter is shown for it."""
        return data | dict(SHOWN.findall(self.post(f"{self.address}/ready", data).text))

    def taking(self, *numbers: int, **more: object) -> dict:
        return {f"r{self.racquets[number]}-take": "y" for number in numbers} | {"needed_by_kind": "match"} | more

    def accept(self, data: dict):
        return self.post(self.address, self.shown(data) | {"do": "accept", "request_key": "one"})

    def play_at(self, time: str) -> None:
        """Let the player have a match today, not before TIME."""

        def add(session, event: Event) -> None:
            court, player = make.make_court(session, event), session.get_one(Player, self.player_id)
            make.make_match(session, court, day=event.days[0], players=(player, None), start=f"not before {time}")

        self.house.write(add)


def fill(session, event: Event) -> tuple[int, tuple[int, ...], int]:
    """Let the event be one with two benches and a player whose first three racquets were strung before."""
    frame, string = make.make_frame(session, event), make.make_string(session, event)
    make.make_reel(session, string)
    event.calibration_required = False
    for _ in range(2):
        make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)
    player = make.make_player(session, event, name="Ilka Torvane", search_name="ilka torvane")
    racquets = [make.make_racquet(session, player, frame=frame) for _ in range(4)]
    for racquet in racquets[:3]:
        card = {"mains_tension": Decimal("23.5"), "crosses_tension": Decimal("22.5"), "tension_unit": "kg"}
        make.make_job(session, player, racquet=racquet, state="handed_over", card=card)
    return player.id, tuple(racquet.id for racquet in racquets), string.id


def jobs_of(counter: Counter, *, state: str = "waiting") -> list[Job]:
    return list(counter.house.scalars(select(Job).where(Job.state == state).order_by(Job.id)))


def cards_of(counter: Counter) -> list[tuple]:
    with counter.house.database.reading() as session:
        found = select(JobCard).join(Job).where(Job.state == "waiting").order_by(Job.id)
        return [(card.mains_tension, card.crosses_tension, card.tension_unit) for card in session.scalars(found)]
