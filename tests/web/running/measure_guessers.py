"""How much longer the hall board takes while strangers guess passwords beside it.

`python -m tests.web.running.measure_guessers` serves a desk in a process of its own, asks for the hall board again
and again, first alone and then while 24 guessers send a wrong password under a new name each time, and prints the
waits of both and their ratio. Meanwhile a lead signs in, on a browser that knows them and on a new one, from the
guessers' address and from another one; printed are the seconds and tries until the desk is open. `--every 0` lets
each guesser try again as soon as it is answered: a flood, which a limit of requests in the proxy must keep out
(`desk/RUNNING.md`).
"""

import argparse
import http.client
import multiprocessing
import re
import statistics
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlencode

from sqlalchemy import select

from desk.models import Event
from desk.models.database import Database
from desk.web import create_app
from tests.web.conftest import PASSWORD, make_house
from tests.web.running.measure_hall import serve_desk, serving
from tests.web.scenes.full_house import fill

GUESSERS_AT = "127.0.0.2"
MOST_TRIES = 60
WARMING = 5.0
"""Seconds until the guessers' process has begun."""


def prepare(url: str) -> str:
    """Fill the records and return the address of the board's lines."""
    with Database(url) as database:
        database.upgrade()
        house = make_house(create_app(database), database)
        house.write(lambda session, event: fill(session, event, jobs=150, stringers=8))
        with database.reading() as session:
            return f"/board/{session.scalars(select(Event.slug)).one()}/lines"


def board_waits(port: int, address: str, seconds: float) -> list[float]:
    """Ask for the board every tenth of a second and return how long each answer took, in milliseconds."""
    waits, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        begun = time.monotonic()
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        connection.request("GET", address)
        assert connection.getresponse().status == 200
        waits.append(1000 * (time.monotonic() - begun))
        connection.close()
        time.sleep(0.1)
    return waits


class Browser:
    """Keeps cookies and the form's token, and asks from one address of this machine."""

    def __init__(self, port: int, address: str) -> None:
        self.port, self.address = port, address
        self.cookies: dict[str, str] = {}
        self.token = ""

    def ask(self, method: str, path: str, form: dict[str, str] | None = None) -> int:
        """Return the status of an answer."""
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        connection = http.client.HTTPConnection("127.0.0.1", self.port, 30, source_address=(self.address, 0))
        connection.request(method, path, urlencode({"csrf_token": self.token} | form) if form else None, headers)
        answer = connection.getresponse()
        page = answer.read().decode()
        self.cookies |= dict(one.partition(";")[0].split("=", 1) for one in answer.headers.get_all("Set-Cookie") or [])
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
        self.token = found[1] if found else self.token
        connection.close()
        return answer.status

    def sign_in(self, name: str, password: str) -> int:
        return self.ask("POST", "/sign-in", {"name": name, "password": password})


def guess(port: int, number: int, every: float, ending, answered) -> None:
    """Fetch the form once, then try one name after the other until told to end."""
    browser = Browser(port, GUESSERS_AT)
    browser.ask("GET", "/sign-in")
    found: Counter[int] = Counter()
    while not ending.wait(every):
        found[browser.sign_in(f"guess {number} {found.total()}", "three plain guesses")] += 1
    answered.put(found)


def let_guess(port: int, guessers: int, every: float, ending, answered) -> None:
    """Guess in a process of its own, so that the board is asked by one that has nothing else to do."""
    threads = [threading.Thread(target=guess, args=(port, n, every, ending, answered)) for n in range(guessers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def until_let_in(browser: Browser) -> str:
    """Return how long it took the lead to get in, with a try each second."""
    begun, tries = time.monotonic(), 1
    browser.ask("GET", "/sign-in")
    while browser.sign_in("lead", PASSWORD) != 303 and tries < MOST_TRIES:
        tries += 1
        time.sleep(1)
    return f"{time.monotonic() - begun:.1f} s, {tries} tries" if tries < MOST_TRIES else f"not in {tries} tries"


@contextmanager
def guessing(port: int, asked: argparse.Namespace) -> Iterator[Counter[int]]:
    """Let the guessers try meanwhile; afterwards the counter holds their answers by status."""
    spawning = multiprocessing.get_context("spawn")
    ending, queue, answered = spawning.Event(), spawning.Queue(), Counter()
    process = spawning.Process(target=let_guess, args=(port, asked.guessers, asked.every, ending, queue), daemon=True)
    process.start()
    time.sleep(WARMING)
    try:
        yield answered
    finally:
        ending.set()
        for _ in range(asked.guessers):
            answered.update(queue.get(timeout=60))
        process.join(60)
        process.kill()


def main() -> None:
    """Measure the board alone and beside the guessers."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--guessers", type=int, default=24)
    parser.add_argument("--every", type=float, default=0.25, help="seconds between two tries of a guesser")
    parser.add_argument("--seconds", type=float, default=30)
    parser.add_argument("--database", help="records at this URL instead of a SQLite file")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        url = asked.database or f"sqlite:///{folder}/desk.sqlite"
        address = prepare(url)
        with serving(serve_desk, url) as (port, _):
            known = Browser(port, GUESSERS_AT)
            until_let_in(known)
            board_waits(port, address, 3)
            alone = board_waits(port, address, asked.seconds)
            with guessing(port, asked) as answered:
                beside = board_waits(port, address, asked.seconds)
                lead = {
                    "on a browser that knows them": until_let_in(known),
                    "on a new one elsewhere": until_let_in(Browser(port, "127.0.0.3")),
                    "on a new one at the guessers' address": until_let_in(Browser(port, GUESSERS_AT)),
                }
    print(f"{'board, ms':<16} {'answers':>8} {'p50':>7} {'p95':>7}")
    for name, waits in (("alone", alone), ("beside guessers", beside)):
        cuts = statistics.quantiles(waits, n=20)
        print(f"{name:<16} {len(waits):>8} {cuts[9]:>7.0f} {cuts[18]:>7.0f}")
    ratio = statistics.median(beside) / statistics.median(alone)
    print(f"p50 {ratio:.2f} times as long; guesses by status {dict(answered)}")
    for how, told in lead.items():
        print(f"lead {how}: {told}")


if __name__ == "__main__":
    main()
