"""A real browser against a real server on this host; nothing may leave it, nothing may complain."""

import os
import pickle
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from jinja2 import BytecodeCache
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Error,
    Page,
    Playwright,
    Request,
    sync_playwright,
)
from sqlalchemy import select

from desk.models import Account
from desk.models.database import Database
from desk.queries.event.events import only_open_event
from desk.web.context import password_stamp
from tests.conftest import missing
from tests.databases import copy_of
from tests.web.browser.fit import NARROW, WIDE, has_font
from tests.web.browser.served import Fill, Site, fill_club, fill_day, fill_full_house, fill_nothing, fill_records, serve

SIZES = {"hall": (1920, 1080), "tablet": (1180, 820), "phone": (390, 844)}
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--no-first-run",
)
CHROMIUMS = ("chromium", "chromium-browser", "google-chrome")
SHELLS = ("chromium-headless-shell", *CHROMIUMS)
"""The shell draws no window of its own round a page: each page takes a tenth of the computing to open."""


def find_chromium(names: tuple[str, ...] = SHELLS) -> str | None:
    """Return the system's Chromium."""
    return next(filter(None, map(shutil.which, names)), None)


@contextmanager
def launched(playwright: Playwright, config: pytest.Config, names: tuple[str, ...]) -> Iterator[Browser]:
    found = find_chromium(names)
    if found is None:
        missing(config, "no Chromium is installed")
    try:
        browser = playwright.chromium.launch(executable_path=found, args=list(ARGUMENTS))
    except Error as error:
        missing(config, f"Chromium does not start: {error}")
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as found:
        yield found


@pytest.fixture(scope="session")
def browser(playwright: Playwright, request: pytest.FixtureRequest) -> Iterator[Browser]:
    """The system's Chromium, or its shell, started once."""
    with launched(playwright, request.config, SHELLS) as found:
        yield found


@pytest.fixture
def whole_browser(playwright: Playwright, request: pytest.FixtureRequest) -> Iterator[Browser]:
    """The system's Chromium with its window, which alone shows notifications."""
    with launched(playwright, request.config, CHROMIUMS) as found:
        yield found


@pytest.fixture(scope="session")
def filled_once(
    sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[Fill], tuple[Path, bytes]]:
    """Give the records that a FILL makes, made once in a process, as a file to copy; and what it returned, pickled."""

    @cache
    def filled(fill: Fill) -> tuple[Path, bytes]:
        folder = tmp_path_factory.mktemp("filled")
        with copy_of(sqlite_template, folder) as database:
            return folder / "desk.sqlite", pickle.dumps(fill_records(database, fill))

    return filled


def site_of(fill: Fill):
    """Return a fixture: a desk of its own with what FILL makes."""

    @pytest.fixture
    def served(
        filled_once: Callable, tmp_path_factory: pytest.TempPathFactory, compiled_templates: BytecodeCache
    ) -> Iterator[Site]:
        file, filled = filled_once(fill)
        folder = tmp_path_factory.mktemp("site")
        with copy_of(file, folder) as database, serve(database, pickle.loads(filled), compiled_templates) as found:
            yield found

    return served


site, empty_site, club_site, full_site = map(site_of, (fill_day, fill_nothing, fill_club, fill_full_house))


@pytest.fixture
def new_site(database: Database, compiled_templates: BytecodeCache) -> Iterator[Site]:
    """The desk before anybody has set it up."""
    with serve(database, templates=compiled_templates) as found:
        yield found


@dataclass
class Watched:
    """A page whose complaints are kept; `check` fails on any of them."""

    page: Page
    complaints: list[str]

    def check(self) -> None:
        assert self.complaints == []


def watch(context: BrowserContext) -> Watched:
    """Open a page and keep console errors, uncaught errors and requests that leave the host."""
    page = context.new_page()
    watched = Watched(page, [])

    def on_console(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            watched.complaints.append(f"console {message.type}: {message.text}")

    def on_request(request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme not in ("data", "blob") and parts.hostname != "127.0.0.1":
            watched.complaints.append(f"left the host: {request.url}")

    page.on("console", on_console)
    page.on("pageerror", lambda error: watched.complaints.append(f"uncaught: {error}"))
    page.on("request", on_request)
    return watched


@contextmanager
def visits(browser: Browser, site: Site) -> Iterator[Callable[..., Watched]]:
    """Give `visit(role, size="tablet", dark=False, **options)`: a watched page, signed in as ROLE."""
    contexts: list[BrowserContext] = []

    def open_page(role: str | None = None, *, size: str = "tablet", dark: bool = False, **options: object) -> Watched:
        width, height = SIZES[size]
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            has_touch=size != "hall",
            **options,  # type: ignore[arg-type]
        )
        contexts.append(context)
        context.set_default_timeout(10_000)
        watched = watch(context)
        if role is not None:
            sign_in(watched.page, site, role)
        return watched

    yield open_page
    for context in contexts:
        context.close()


@pytest.fixture
def visit(browser: Browser, site: Site) -> Iterator[Callable[..., Watched]]:
    with visits(browser, site) as found:
        yield found


def sign_in(page: Page, site: Site, role: str) -> None:
    """Sign somebody of ROLE in, as the screen of that name does, and open their first screen."""
    client = site.app.test_client()
    with site.database.reading() as session, client.session_transaction() as signed:
        account = session.scalars(select(Account).where(Account.role == role).order_by(Account.id)).first()
        signed.permanent = True
        signed.update(account_id=account.id, stamp=password_stamp(account.password_hash))
        signed["event_id"] = account.event_id or only_open_event(session)
    cookie = client.get_cookie(site.app.config["SESSION_COOKIE_NAME"])
    page.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": site.address}])
    page.goto(site.to("/"))


def axe_source() -> Path | None:
    """Return the file of axe-core: `DESK_AXE_PATH`, a global node module, or the user's cache."""
    named = os.environ.get("DESK_AXE_PATH")
    folders = [Path(named)] if named else []
    if shutil.which("npm"):
        root = subprocess.run(["npm", "root", "-g"], capture_output=True, text=True, check=False).stdout.strip()
        folders.append(Path(root))
    folders += [Path.home() / ".cache" / "stringing-desk" / "node_modules"]
    for folder in folders:
        for path in (folder, folder / "axe.min.js", folder / "axe-core" / "axe.min.js"):
            if path.is_file():
                return path
    return None


@pytest.fixture(scope="session")
def fonts(request: pytest.FixtureRequest, browser: Browser) -> None:
    """The two fonts in which every screen is looked at."""
    page = browser.new_page()
    lacking = [font for font in (WIDE, NARROW) if not has_font(page, font)]
    page.close()
    if lacking:
        missing(request.config, f"no font {' and no font '.join(lacking)} is installed")


@pytest.fixture(scope="session")
def axe(request: pytest.FixtureRequest) -> str:
    """The source of axe-core, from the registry package of that name."""
    path = axe_source()
    if path is None:
        missing(request.config, "axe-core is not installed: npm install -g axe-core, or set DESK_AXE_PATH")
    return path.read_text(encoding="utf-8")


def accessibility_faults(page: Page, axe: str, *, only: tuple[str, ...] = ()) -> list[str]:
    """Return what axe-core finds on the page, by all its rules or ONLY by some, one line a rule."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(axe)
    asked = {"resultTypes": ["violations"]} | ({"runOnly": list(only)} if only else {})
    found = page.evaluate("asked => axe.run(document, asked)", asked)
    return [
        f"{rule['id']}: {rule['help']} ({', '.join(str(node['target']) for node in rule['nodes'][:4])})"
        for rule in found["violations"]
    ]
