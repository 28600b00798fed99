"""Take a picture of every screen at each size, light and dark.

`python -m tests.web.browser.pictures FOLDER [NAME ...]` takes those whose name begins with a NAME.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, sync_playwright

from desk.models.database import Database
from tests.web.browser.conftest import ARGUMENTS, SIZES, find_chromium, sign_in
from tests.web.browser.screens import CLUB_SCREENS, EMPTY_SCREENS, SCREENS, Screen
from tests.web.browser.served import Site, fill_club, fill_day, fill_nothing, fill_records, serve


def take(browser: Browser, site: Site, screens: tuple[Screen, ...], folder: Path, size: str, scheme: str) -> None:
    width, height = SIZES[size]
    pages = {}
    for screen in screens:
        if screen.role not in pages:
            context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
            pages[screen.role] = context.new_page()
            if screen.role is not None:
                sign_in(pages[screen.role], site, screen.role)
        page = pages[screen.role]
        page.goto(site.to(screen.address(site.scene)))
        page.screenshot(path=folder / f"{screen.name}-{size}-{scheme}.png", full_page=size != "hall")
    for page in pages.values():
        page.context.close()


def main(folder: Path, names: tuple[str, ...]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as temporary, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=list(ARGUMENTS))
        for fill, screens in ((fill_day, SCREENS), (fill_club, CLUB_SCREENS), (fill_nothing, EMPTY_SCREENS)):
            database = Database(f"sqlite:///{temporary}/{fill.__name__}.sqlite")
            database.upgrade()
            with serve(database, fill_records(database, fill)) as site:
                for size in SIZES:
                    for scheme in ("light", "dark"):
                        wanted = tuple(screen for screen in screens if screen.name.startswith(names or ""))
                        take(browser, site, wanted, folder, size, scheme)
            database.dispose()
        browser.close()


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("Name the folder for the pictures: python -m tests.web.browser.pictures FOLDER [NAME ...]")
    main(Path(sys.argv[1]), tuple(sys.argv[2:]))
