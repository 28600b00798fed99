"""The counter in a browser: keys that are counted, players to take racquets in from, and what was taken."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from playwright.sync_api import Page
from sqlalchemy import select

from desk.models import Event, Frame, Job, StringType
from tests import make
from tests.web.browser.conftest import Watched
from tests.web.browser.served import Site

HAND = 60  # ms between two keys, as a person types; a scanner is quicker


@dataclass
class Keys:
    """A keyboard that counts, and waits for the scripts of a page that came in."""

    page: Page
    count: int = 0

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.wait_for_load_state()
            self.page.keyboard.press(key)
            self.count += 1

    def step(self, times: int, key: str) -> None:
        for _ in range(times):
            self.press(key)
            self.page.wait_for_timeout(HAND)


def open_drop_off(visit: Callable, site: Site, who: int | str = "", **how: object) -> tuple[Watched, Page]:
    """Open the drop-off, or that of the player WHO, for the front desk; HOW is what `visit` takes."""
    watched = visit("desk", **how)
    watched.page.goto(site.to(f"/drop-off/{who}" if who else "/drop-off"))
    return watched, watched.page


def add_player(site: Site, name: str, *, racquets: int, strung: bool = True) -> int:
    """Add a player with racquets; strung ones have a hybrid card to repeat."""
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        event.calibration_required = False
        player = make.make_player(session, event, name=name, search_name=name.lower())
        mains, crosses = session.scalars(select(StringType).order_by(StringType.id).limit(2))
        frame = session.scalars(select(Frame).order_by(Frame.id)).first()
        for number in range(1, racquets + 1):
            racquet = make.make_racquet(session, player, frame=frame, number=number)
            card = {"mains_string_id": mains.id, "crosses_string_id": crosses.id, "mains_tension": Decimal("52.5")}
            if strung:
                make.make_job(session, player, racquet=racquet, state="handed_over", card=card)
        event.revision += 1
        return player.id


def without_calibration(site: Site) -> None:
    with site.database.writing() as session:
        session.get_one(Event, site.scene.event.id).calibration_required = False


def jobs_of(site: Site, player_id: int) -> list[Job]:
    with site.database.reading() as session:
        found = select(Job).where(Job.player_id == player_id, Job.state == "waiting").order_by(Job.id)
        jobs = session.scalars(found).all()
        for job in jobs:
            _ = job.card, job.drop_off, job.promises
        return list(jobs)
