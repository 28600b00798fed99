"""Every screen with something on it, and what of a page can be measured.

A new screen gets a line in `SCREENS`: it is then held against axe-core, against each size, and is
among the pictures that `python -m tests.web.browser.pictures FOLDER` takes.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby

from playwright.sync_api import Page

from tests.web.browser.served import Site
from tests.web.scenes.scene import Scene


@dataclass(frozen=True)
class Screen:
    """A screen: its name, who looks at it, and its address in a filled scene."""

    name: str
    role: str | None
    address: Callable[[Scene], str]


def at(path: str) -> Callable[[Scene], str]:
    return lambda _scene: path


SCREENS = (
    Screen("sign-in", None, at("/sign-in")),
    Screen("events", "lead", at("/events")),
    Screen("event-new", "lead", at("/events/new")),
    Screen("trust-device", "lead", at("/trust-device")),
    Screen("benches", "lead", at("/benches")),
    Screen("bench-running", "stringer", lambda scene: f"/bench/{scene.stringers[1].id}"),
    Screen("bench-long-name", "stringer", lambda scene: f"/bench/{scene.stringers[0].id}"),
    Screen("bench-next", "stringer", lambda scene: f"/bench/{scene.stringers[3].id}"),
    Screen("plan", "lead", at("/plan")),
    Screen("plan-racquet", "lead", lambda scene: f"/plan/racquet/{scene.in_state('waiting')[1].id}"),
    Screen("plan-held", "lead", lambda scene: f"/plan/racquet/{scene.in_state('held')[0].id}"),
    Screen("plan-wrong", "lead", at("/plan/wrong")),
    Screen("plan-wrong-tried", "lead", at("/plan/wrong?tried=1")),
    Screen("plan-what-if", "lead", at("/plan/what-if")),
    Screen("pickup", "desk", at("/pickup")),
    Screen("pickup-player", "desk", lambda scene: f"/pickup/{scene.in_state('strung')[0].player_id}"),
    Screen("pickup-still-to-come", "desk", lambda scene: f"/pickup/{scene.in_state('strung')[2].player_id}"),
    Screen("runner", "desk", at("/runner")),
    Screen("hall-board", None, lambda scene: f"/board/{scene.event.slug}"),
    Screen("player-page", None, lambda scene: f"/p/{scene.players[2].token}?lang=en"),
    Screen("player-page-late", None, lambda scene: f"/p/{scene.players[4].token}?lang=de"),
    Screen("player-page-held", None, lambda scene: f"/p/{scene.players[3].token}?lang=fr"),
    Screen("print-tag", "desk", lambda scene: f"/print/tag/{scene.in_state('waiting')[0].code}"),
    Screen("print-tag-a7", "desk", lambda scene: f"/print/tag/{scene.in_state('waiting')[0].code}?size=a7"),
    Screen("print-receipt", "desk", lambda scene: f"/print/receipt/{scene.in_state('waiting')[0].drop_off_id}"),
    Screen("print-card", "desk", lambda scene: f"/print/card/{scene.in_state('waiting')[0].code}"),
    Screen("print-link", "desk", lambda scene: f"/print/link/{scene.players[0].id}"),
    Screen("tag-find", "desk", at("/tag")),
    Screen("tag-held", "desk", lambda scene: f"/tag/{scene.in_state('held')[0].code}"),
    Screen("tag-waiting", "desk", lambda scene: f"/tag/{scene.in_state('waiting')[1].code}"),
    Screen("home", "lead", at("/now")),
    Screen("drop-off", "desk", at("/drop-off")),
    Screen("drop-off-found", "desk", at("/drop-off?q=to")),
    Screen("drop-off-player", "desk", lambda scene: f"/drop-off/{scene.players[0].id}"),
    Screen("drop-off-as-last-time", "desk", lambda scene: f"/drop-off/{scene.players[0].id}?take=all"),
    Screen("drop-off-at-desk", "desk", lambda scene: f"/drop-off/{scene.players[2].id}"),
    Screen("drop-off-taken", "desk", lambda scene: f"/drop-off/taken/{scene.in_state('waiting')[0].drop_off_id}"),
    Screen("drop-off-sheet", "desk", at("/drop-off-sheet")),
    Screen("on-court", "desk", at("/on-court?q=i")),
    Screen("word-sent", "lead", at("/word")),
    Screen("word-to-player", "desk", lambda scene: f"/players/{scene.in_state('strung')[0].player_id}/word"),
    Screen("word-asked", None, lambda scene: f"/p/{scene.in_state('strung')[0].player.token}?lang=fr"),
    Screen("word-stop", None, lambda scene: f"/word/stop/stop-1-{scene.in_state('strung')[0].id}-mail?lang=de"),
    Screen("tag-told", "desk", lambda scene: f"/tag/{scene.in_state('strung')[0].code}"),
    Screen("log", "lead", at("/log")),
    Screen("mishaps", "lead", at("/mishaps")),
    Screen("mishap-report", "desk", lambda scene: f"/mishaps/of/{scene.in_state('strung')[0].code}"),
    Screen("shift", "lead", at("/shift")),
    Screen("search", "lead", at("/search?q=to")),
    Screen("search-nothing", "desk", at("/search?q=qqq")),
    Screen("play", "desk", at("/play")),
    Screen("play-new-match", "desk", at("/play/match/new")),
    Screen("play-match", "desk", lambda scene: f"/play/match/{scene.in_state('waiting')[3].match_id}"),
    Screen("play-sheet", "desk", at("/play/sheet")),
    Screen("store", "desk", at("/store")),
    Screen("store-reel", "desk", at("/store/reel/1")),
    Screen("store-order", "desk", at("/store/order")),
    Screen("machines", "lead", at("/machines")),
    Screen("machine", "lead", lambda scene: f"/machines/{scene.machines[0].id}"),
    Screen("calibration", "lead", at("/calibration")),
    Screen("machine-care", "lead", at("/machines/care")),
    Screen("machine-checks", "lead", at("/machines/checks")),
    Screen("team", "lead", at("/team")),
    Screen("team-stringer", "lead", lambda scene: f"/team/{scene.stringers[0].id}"),
    Screen("players", "lead", at("/players")),
    Screen("player", "lead", lambda scene: f"/players/{scene.players[2].id}"),
    Screen("player-before", "desk", lambda scene: f"/players/{scene.players[1].id}/before/1"),
    Screen("player-advice", "desk", lambda scene: f"/players/{scene.players[2].id}/advice"),
    Screen("player-account", "desk", lambda scene: f"/players/{scene.players[1].id}/account"),
    Screen("contacts", "desk", at("/contacts")),
    Screen("contact-of-player", "desk", lambda scene: f"/contacts?player={scene.players[5].id}"),
    Screen("contact", "lead", lambda scene: f"/contacts/{scene.contacts[0].id}"),
    Screen("contact-link", "desk", lambda scene: f"/contacts/{scene.contacts[0].id}/link"),
    Screen("contact-own-page", None, lambda scene: f"/for/{scene.contacts[0].token}?lang=de"),
    Screen("contact-brings", "desk", lambda scene: f"/drop-off/{scene.players[0].id}?by={scene.contacts[0].id}"),
    Screen("payers", "lead", at("/payers")),
    Screen("payer-account", "desk", lambda scene: f"/payers/{scene.contacts[1].id}"),
    Screen("figures", "organiser", at("/organiser")),
    Screen("close-of-day", "lead", at("/close-of-day")),
    Screen("invoice", "desk", at("/invoice/1")),
    Screen("charges-by-player", "lead", at("/players/charges")),
    Screen("frames", "desk", at("/players/frames")),
    Screen("rehearsal", "lead", at("/rehearsal")),
    Screen("whose-players", "lead", at("/rehearsal/whose")),
    Screen("take-over", "lead", at("/take-over")),
    Screen("settings", "lead", at("/settings")),
    Screen("settings-days", "lead", at("/settings/days")),
    Screen("settings-prices", "lead", at("/settings/prices")),
    Screen("settings-people", "lead", at("/settings/people")),
    Screen("settings-times", "lead", at("/settings/times")),
)

# A club weekend without matches: what of its screens is otherwise than at a tournament.
CLUB_SCREENS = (
    Screen("club-home", "lead", at("/now")),
    Screen("club-drop-off-new", "lead", at("/drop-off?q=Jo+Fenwick")),
    Screen("club-drop-off", "lead", lambda scene: f"/drop-off/{scene.players[0].id}?take=all"),
    Screen("club-taken", "lead", lambda scene: f"/drop-off/taken/{scene.in_state('waiting')[0].drop_off_id}"),
    Screen("club-pickup", "lead", lambda scene: f"/pickup/{scene.players[1].id}"),
    Screen("club-player", "lead", lambda scene: f"/players/{scene.players[1].id}"),
    Screen("club-settings", "lead", at("/settings")),
    Screen("club-new-event", "lead", at("/events/new")),
)

# An event with its days and nothing else: what a screen says to do first.
EMPTY_SCREENS = (
    Screen("empty-home", "lead", at("/now")),
    Screen("empty-figures", "lead", at("/organiser")),
    Screen("empty-drop-off", "desk", at("/drop-off")),
    Screen("empty-on-court", "desk", at("/on-court")),
    Screen("empty-plan", "lead", at("/plan")),
    Screen("empty-plan-wrong", "lead", at("/plan/wrong")),
    Screen("empty-benches", "lead", at("/benches")),
    Screen("empty-pickup", "desk", at("/pickup")),
    Screen("empty-runner", "desk", at("/runner")),
    Screen("empty-play", "lead", at("/play")),
    Screen("empty-store", "lead", at("/store")),
    Screen("empty-store-order", "lead", at("/store/order")),
    Screen("empty-machines", "lead", at("/machines")),
    Screen("empty-machine-care", "lead", at("/machines/care")),
    Screen("empty-team", "lead", at("/team")),
    Screen("empty-players", "lead", at("/players")),
    Screen("empty-frames", "lead", at("/players/frames")),
    Screen("empty-charges", "lead", at("/players/charges")),
    Screen("empty-prices", "lead", at("/settings/prices")),
    Screen("empty-rehearsal", "lead", at("/rehearsal")),
    Screen("empty-word-sent", "lead", at("/word")),
    Screen("empty-log", "lead", at("/log")),
    Screen("empty-board", None, lambda scene: f"/board/{scene.event.slug}"),
)

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
SMALL_TARGETS = """
() => [...document.querySelectorAll('a, button, summary, select, input:not([type=hidden])')]
  .filter(e => e.checkVisibility() && !e.closest('.skip, p, dialog') && !e.matches('.skip'))
  .map(e => ({e: e.closest('label') || e}))
  .map(({e}) => ({text: (e.textContent || e.name || '').trim().slice(0, 40), box: e.getBoundingClientRect()}))
  .filter(({box}) => box.height > 1 && Math.round(box.height) < 44)
  .map(({text, box}) => `${text}: ${Math.round(box.height)} px`)
"""


def walk(
    visit: Callable, site: Site, every: tuple[Screen, ...] = SCREENS, **options: object
) -> Iterator[tuple[Screen, Page]]:
    """Open every screen, as whoever looks at it; complaints of a page fail the test."""
    for role, screens in groupby(sorted(every, key=lambda screen: str(screen.role)), key=lambda screen: screen.role):
        watched = visit(role, **options)
        for screen in screens:
            watched.page.goto(site.to(screen.address(site.scene)))
            yield screen, watched.page
        watched.check()
        watched.page.context.close()


def wider_than_screen(page: Page) -> int:
    """Return by how many pixels the page scrolls sideways, once all its style sheets are there."""
    page.wait_for_load_state()
    return page.evaluate(WIDER)


def small_targets(page: Page) -> list[str]:
    """Return links and buttons lower than 44 px, once the page is whole; links within a sentence are left out."""
    page.wait_for_load_state()
    return page.evaluate(SMALL_TARGETS)
