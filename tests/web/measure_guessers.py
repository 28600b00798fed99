"""How much longer the hall board takes while strangers guess passwords beside it.

`python -m tests.web.measure_guessers` serves a desk in a process of its own, asks for the hall board again and again,
first alone and then while 24 guessers send a wrong password under a new name each time, and prints the waits of both
and their ratio. `--every 0` lets each guesser try again as soon as it is answered: a flood, which a limit of requests
in the proxy must keep out (`desk/RUNNING.md`).
"""

import argparse
import http.client
import re
import statistics
import tempfile
import threading
import time
from collections import Counter
from urllib.parse import urlencode

from sqlalchemy import select

from desk.models import Event
from desk.models.database import Database
from desk.web import create_app
from tests.web.conftest import make_house
from tests.web.full_house import fill
from tests.web.measure_hall import serve_desk, serving


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


def guess(port: int, number: int, every: float, ending: threading.Event, answered: Counter[int]) -> None:
    """Fetch the form once, then try one name after the other until told to end."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", "/sign-in")
    answer = connection.getresponse()
    page, cookie = answer.read().decode(), (answer.getheader("Set-Cookie") or "").partition(";")[0]
    found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
    token = found[1] if found else ""
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookie}
    tries = 0
    while not ending.wait(every):
        tries += 1
        form = {"csrf_token": token, "name": f"guess {number} {tries}", "password": "three plain guesses"}
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        connection.request("POST", "/sign-in", urlencode(form), headers)
        answered[connection.getresponse().status] += 1
        connection.close()


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
            board_waits(port, address, 3)
            alone = board_waits(port, address, asked.seconds)
            ending, answered = threading.Event(), Counter()
            threads = [
                threading.Thread(target=guess, args=(port, number, asked.every, ending, answered), daemon=True)
                for number in range(asked.guessers)
            ]
            for thread in threads:
                thread.start()
            beside = board_waits(port, address, asked.seconds)
            ending.set()
            for thread in threads:
                thread.join(60)
    print(f"{'board, ms':<16} {'answers':>8} {'p50':>7} {'p95':>7}")
    for name, waits in (("alone", alone), ("beside guessers", beside)):
        cuts = statistics.quantiles(waits, n=20)
        print(f"{name:<16} {len(waits):>8} {cuts[9]:>7.0f} {cuts[18]:>7.0f}")
    ratio = statistics.median(beside) / statistics.median(alone)
    print(f"p50 {ratio:.2f} times as long; guesses by status {dict(answered)}")


if __name__ == "__main__":
    main()
