"""How soon one remedy follows the other on *What is wrong*, with the planner at work.

`python -m tests.web.plan.measure_remedies [--event impossible-afternoon] [--time 12:55] [--change-every 5]` opens the
demo of an event in a process of its own, with its planner and nobody's hands, asks what is wrong as a screen does,
and lets something change every so many seconds, so that the planner plans on beside it. With `--benches 24 --jobs
500` it opens a full house of as many instead. It prints the seconds until the first remedy, those from each to the
next, and the load of the machine.
"""

import argparse
import contextlib
import os
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import select

from desk.models import Account, Event, PlanRun
from desk.models.database import Database
from desk.services.acting import lock_event, note_change
from desk.web import create_app
from desk.web.context import password_stamp
from tests.web.conftest import make_house
from tests.web.scenes.full_house import fill

REMEDY = re.compile(r"Helps \d+ racquet")
ASKED_EVERY = 0.1


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


@contextlib.contextmanager
def serving(asked: argparse.Namespace, file: Path) -> Iterator[str]:
    """Run the desk until it answers, and give its address."""
    port = free_port()
    words = ["demo", "--event", asked.event, "--day", str(asked.day), "--time", asked.time, "--speed", str(asked.speed)]
    words += ["--file", str(file), "--fresh", "--still"]
    if asked.benches:
        fill_house(asked, file)
        words = ["--database", f"sqlite:///{file}", "serve"]
    words += ["--port", str(port)]
    process = subprocess.Popen([sys.executable, "-m", "desk", *words], stdout=subprocess.DEVNULL)
    try:
        for _ in range(6000):
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 0.2):
                break
            if process.poll() is not None:
                raise SystemExit("The desk did not start.")
            time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(20)


def fill_house(asked: argparse.Namespace, file: Path) -> None:
    with Database(f"sqlite:///{file}") as database:
        database.upgrade()
        house = make_house(create_app(database), database)
        house.write(lambda session, event: fill(session, event, jobs=asked.jobs, stringers=asked.benches))


def cookie_of_lead(database: Database) -> tuple[str, int]:
    """Return what a signed-in lead's browser sends, and the event."""
    app = create_app(database)
    with database.reading() as session:
        lead = session.scalars(select(Account).where(Account.role == "lead")).first()
        event = session.scalars(select(Event).where(Event.status == "open")).first()
        signed = {"account_id": lead.id, "stamp": password_stamp(lead.password_hash), "event_id": event.id}
        signer = app.session_interface.get_signing_serializer(app)
        return f"desk={signer.dumps({'_permanent': True} | signed)}", event.id


def answer(address: str, cookie: str) -> str:
    request = urllib.request.Request(address, headers={"Cookie": cookie, "X-Fragment": "1"})
    with urllib.request.urlopen(request, timeout=60) as found:
        return found.read().decode()


def follow(asked: argparse.Namespace, address: str, cookie: str, database: Database, event_id: int) -> list[float]:
    """Ask until all was tried or the time is up; return when each remedy stood there."""
    begun = changed = time.monotonic()
    found: list[float] = []
    text = answer(f"{address}/plan/wrong", cookie)
    stood = time.monotonic() - begun
    print(f"{text.count('wrong-one')} racquets in trouble stood there after {stood:.1f} s", flush=True)
    most = len(REMEDY.findall(text))
    while time.monotonic() - begun < asked.seconds and ("trying out" in text or asked.change_every):
        time.sleep(ASKED_EVERY)
        text = answer(f"{address}/plan/wrong/tried", cookie)
        count, now = len(REMEDY.findall(text)), time.monotonic()
        if count > most:
            found.append(now - begun)
        most = count
        if asked.change_every and now - changed > asked.change_every:
            changed = now
            with database.writing() as session:
                note_change(lock_event(session, event_id))
    return found


def main(asked: argparse.Namespace) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "desk.sqlite"
        with serving(asked, file) as address, Database(f"sqlite:///{file}") as database:
            cookie, event_id = cookie_of_lead(database)
            with database.reading() as session:
                plans = len(session.scalars(select(PlanRun.id)).all())
                last = max(session.scalars(select(PlanRun.id)).all(), default=0)
            found = follow(asked, address, cookie, database, event_id)
            with database.reading() as session:
                made = max(session.scalars(select(PlanRun.id)).all(), default=0) - last
    gaps = [later - sooner for sooner, later in zip([0.0, *found], found, strict=False)]
    load = " ".join(f"{one:.1f}" for one in os.getloadavg())
    print(f"{len(found)} times a remedy came; first after {gaps[0]:.1f} s" if gaps else "no remedy came", end="")
    print(f", to the next p50 {statistics.median(gaps):.1f} s, at most {max(gaps):.1f} s" if gaps else "", end="")
    print(f"; {made} plans made meanwhile ({plans} before); load {load}", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--event", default="impossible-afternoon")
    parser.add_argument("--day", type=int, default=1)
    parser.add_argument("--time", default="12:55")
    parser.add_argument("--speed", type=float, default=1.0, help="event minutes in a real one")
    parser.add_argument("--benches", type=int, default=0, help="of a full house")
    parser.add_argument("--jobs", type=int, default=500)
    parser.add_argument("--seconds", type=float, default=60, help="how long to ask at most")
    parser.add_argument("--change-every", type=float, default=0, help="seconds from one change to the next; 0 is none")
    main(parser.parse_args())
