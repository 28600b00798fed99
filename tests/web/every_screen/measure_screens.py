"""Measure every screen of a large desk: `python -m tests.web.every_screen.measure_screens [--jobs 500] [--only plan]`.

A line a screen: processor time of its answer at the server, SQL statements (selects), kilobytes; and below it
its fragments with the time of an answer that nothing changed (304). Times are medians.
"""

import argparse
import re
from collections.abc import Callable
from html import unescape
from statistics import median
from tempfile import TemporaryDirectory
from time import process_time

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from desk.models.database import Database
from desk.web import create_app
from tests.web.browser.screens import SCREENS
from tests.web.conftest import House, make_house
from tests.web.scenes import full_house
from tests.web.statements import selects

FRAGMENT = re.compile(r'data-fragment="([^"]+)"')
TIMES = 7


def median_ms(answer: Callable[[], TestResponse]) -> float:
    """Return the median processor time of an answer in milliseconds, after one that warms the caches."""
    answer()
    spent = []
    for _ in range(TIMES):
        begun = process_time()
        answer()
        spent.append(process_time() - begun)
    return 1000 * median(spent)


def measure(house: House, name: str, client: FlaskClient, address: str) -> None:
    with selects(house.database) as found:
        page = client.get(address)
    spent = median_ms(lambda: client.get(address))
    head = f"{name:24} {spent:7.1f} ms {len(found):4} SQL {len(page.data) / 1000:7.1f} kB"
    print(f"{head}  {'' if page.status_code == 200 else page.status}", flush=True)
    for part in dict.fromkeys(map(unescape, FRAGMENT.findall(page.text))):
        first = client.get(part, headers={"X-Fragment": "1"})
        again = {"X-Fragment": "1", "If-None-Match": first.headers["ETag"]}
        status = client.get(part, headers=again).status_code
        spent = median_ms(lambda again=again, part=part: client.get(part, headers=again))
        print(f"    {part:36} {spent:5.1f} ms for a {status}", flush=True)


def main(jobs: int, stringers: int, only: str) -> None:
    with TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{folder}/desk.sqlite")
        database.upgrade()
        house = make_house(create_app(database, TESTING=True, WTF_CSRF_ENABLED=False), database)
        filled = house.write(lambda session, event: full_house.fill(session, event, jobs=jobs, stringers=stringers))
        for screen in SCREENS:
            if only in screen.name:
                measure(house, screen.name, house.as_role(screen.role), screen.address(filled))
        database.dispose()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=500)
    parser.add_argument("--stringers", type=int, default=24)
    parser.add_argument("--only", default="", help="part of the name of the screens to measure")
    asked = parser.parse_args()
    main(asked.jobs, asked.stringers, asked.only)
