"""The hall board with sixty ready racquets of sixty players with long names, on every screen and in both fonts."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page
from sqlalchemy import select

from desk.models import Event, Frame
from tests import make
from tests.web.browser.fit import NARROW, WIDE, set_font
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser
COUNT = 60
FIRST = ("Maximiliana-Alexandrina", "Bartholomäus", "Konstantina", "Ferdinand-Christoph", "Anneliese", "Søren")
LAST = ("van der Hohenbruck-Wetterstein", "de la Fuente y Montes", "Grauwald-Rosengaard", "O’Callaghan", "Mirandel")
SEEN = """() => {
  const list = document.querySelector('[data-pages]'), box = list.getBoundingClientRect();
  const at = (line) => line.getBoundingClientRect();
  const shown = [...list.children].filter((line) => at(line).bottom > box.top + 1 && at(line).top < box.bottom - 1);
  const half = shown.filter((line) => at(line).top < box.top - 1 || at(line).bottom > box.bottom + 1);
  return { lines: shown.map((line) => line.querySelector('time').dateTime), half: half.length };
}"""


@pytest.fixture(autouse=True)
def sixty_ready(site: Site) -> None:
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        frame = session.scalars(select(Frame).order_by(Frame.id)).first()
        for number in range(COUNT):
            player = make.make_player(session, event, name=f"{FIRST[number % 6]} {LAST[number // 12]}")
            racquet = make.make_racquet(session, player, frame=frame)
            at = site.scene.now - timedelta(minutes=2 * number + 1, seconds=number)
            make.make_job(session, player, racquet=racquet, state="strung", finished_at=at)
        event.revision += 1


def _board(visit: Callable, site: Site, width: int, height: int) -> Page:
    page: Page = visit(size="hall").page
    page.clock.install()
    page.set_viewport_size({"width": width, "height": height})
    page.goto(site.to(f"/board/{site.scene.event.slug}"))
    return page


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (1080, 1920), (3840, 2160)])
def test_its_pages_turn_until_each_stood_there_whole(visit: Callable, site: Site, width: int, height: int) -> None:
    page = _board(visit, site, width, height)
    ready = page.locator("[data-pages]").first.locator("li").count()
    assert ready >= COUNT
    seen: set[str] = set()
    for font in (WIDE, NARROW):
        set_font(page, font)
        page.evaluate("dispatchEvent(new Event('resize'))")
        pages = int(page.locator(".hall-pages").first.inner_text().split(" / ")[1])
        seen = set()
        for _ in range(pages):
            found = page.evaluate(SEEN)
            assert found["half"] == 0
            seen |= set(found["lines"])
            page.clock.run_for(8_000)
        assert len(seen) == ready, font


def test_the_tag_stands_beside_initials_on_their_line(visit: Callable, site: Site) -> None:
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        event.board_names, event.revision = "initials", event.revision + 1
    page = _board(visit, site, 1920, 1080)
    for font in (WIDE, NARROW):
        set_font(page, font)
        page.evaluate("dispatchEvent(new Event('resize'))")
        names = page.locator(".hall-name")
        assert names.count() == page.locator(".hall-name .hall-code").count()
        assert not names.evaluate_all("all => all.some((one) => one.scrollWidth > one.clientWidth)"), font
