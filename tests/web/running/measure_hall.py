"""A hall full of phones: how long they wait, beside a bare page on the same server and machine in the same run.

`python -m tests.web.running.measure_hall` makes a desk of 500 racquets at 24 benches and lets 1 500 phones ask for
their page, 24 benches for their card and 4 counters for what needs somebody, while silent and slow connections hang
on. It prints waits, errors and memory of the server: first of a route that does nothing, for a minute, then of the
desk, with the memory by the minute.
"""

import argparse
import asyncio
import contextlib
import multiprocessing
import socket
import statistics
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from flask import Flask
from sqlalchemy import select

from desk.cli.serve.web_server import listen
from desk.models import Account, Event, Player, Stringer
from desk.models.database import Database
from desk.web import create_app
from desk.web.context import password_stamp
from tests.web.conftest import make_house
from tests.web.scenes.full_house import fill

BARE = "x" * 1500


@dataclass(frozen=True)
class Asker:
    """One browser: what it asks for, how often, and the cookie that it shows."""

    path: str
    every: float
    cookie: str = ""


@dataclass
class Waits:
    """What was measured."""

    seconds: list[float] = field(default_factory=list)
    errors: int = 0
    unchanged: int = 0

    def line(self, name: str, memory: list[int]) -> str:
        found = sorted(self.seconds)
        cuts = statistics.quantiles(found, n=100) if len(found) > 1 else [0.0] * 99
        return (
            f"{name:<18} {len(found):>7} {self.unchanged:>7} {self.errors:>7} {1000 * cuts[49]:>7.0f} "
            f"{1000 * cuts[94]:>7.0f} {1000 * cuts[98]:>7.0f} {1000 * (found or [0])[-1]:>7.0f} "
            f"{' '.join(map(str, memory))}"
        )


def serve_bare(port: int) -> None:
    """Serve a page that does nothing."""
    app = Flask("bare")
    app.add_url_rule("/<path:any_path>", "any", lambda any_path: BARE)
    listen(app, "127.0.0.1", port)


def serve_desk(url: str, port: int) -> None:
    """Serve the desk."""
    listen(create_app(Database(url, patience=5.0), WATCH_PLANNER=True), "127.0.0.1", port)


def prepare(url: str, asked: argparse.Namespace) -> list[Asker]:
    """Fill the records and return who asks for what."""
    with Database(url) as database:
        database.upgrade()
        app = create_app(database)
        house = make_house(app, database)
        house.write(lambda session, event: fill(session, event, jobs=asked.jobs, stringers=asked.benches))
        with database.reading() as session:
            lead = session.scalars(select(Account).where(Account.role == "lead")).one()
            slug = session.get_one(Event, house.event_id).slug
            tokens = session.scalars(select(Player.token)).all()
            stringers = session.scalars(select(Stringer.id)).all()
            signed = {"account_id": lead.id, "stamp": password_stamp(lead.password_hash), "event_id": house.event_id}
        signer = app.session_interface.get_signing_serializer(app)
        cookie = f"desk={signer.dumps({'_permanent': True} | signed)}"
    phones = [Asker(f"/p/{tokens[n % len(tokens)]}/now/racquets", asked.every) for n in range(asked.phones)]
    staff = [Asker(f"/bench/{stringer}/card", 5, cookie) for stringer in stringers[: asked.benches]]
    counters = [Asker("/now/lines", 5, cookie), Asker("/plan/board", 5, cookie)] * 2
    return [*phones, *staff, *counters, Asker(f"/board/{slug}/lines", 5)]


async def ask(asker: Asker, port: int, until: float, waits: Waits, keep: bool) -> None:
    """Ask again and again, with the tag of the last answer, on one connection or on a new one each time."""
    tag, reader, writer = "", None, None
    await asyncio.sleep(asker.every * hash((asker.path, id(asker))) % 997 / 997 * asker.every)
    while time.monotonic() < until:
        begun = time.monotonic()
        try:
            if writer is None:
                reader, writer = await asyncio.wait_for(asyncio.open_connection("127.0.0.1", port), 20)
            status, tag_now, stays = await asyncio.wait_for(_once(asker, reader, writer, tag, keep), 20)
            tag = tag_now or tag
            waits.seconds.append(time.monotonic() - begun)
            waits.unchanged += status == 304
            waits.errors += status not in (200, 304)
        except (TimeoutError, OSError, asyncio.IncompleteReadError, ValueError):
            # A connection that was put away while it was silent is opened again, as a browser does.
            stale = keep and writer is not None and time.monotonic() - begun < 1
            waits.errors += not stale
            stays = False
        if not stays or not keep:
            if writer is not None:
                writer.close()
            writer = None
        await asyncio.sleep(max(0.0, asker.every - (time.monotonic() - begun)))


async def _once(asker: Asker, reader, writer, tag: str, keep: bool) -> tuple[int, str, bool]:
    lines = [f"GET {asker.path} HTTP/1.1", "Host: 127.0.0.1", "X-Fragment: 1"]
    lines += [f"If-None-Match: {tag}"] if tag else []
    lines += [f"Cookie: {asker.cookie}"] if asker.cookie else []
    lines += [] if keep else ["Connection: close"]
    writer.write(("\r\n".join(lines) + "\r\n\r\n").encode())
    head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
    fields = {k.strip().lower(): v.strip() for k, _, v in (line.partition(":") for line in head.split("\r\n")[1:])}
    status = int(head.split()[1])
    if "content-length" in fields and status != 304:
        await reader.readexactly(int(fields["content-length"]))
    return status, fields.get("etag", ""), fields.get("connection", "").lower() != "close"


async def silent(port: int, until: float) -> None:
    """Open a connection and say nothing."""
    while time.monotonic() < until:
        with contextlib.suppress(OSError):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            with contextlib.suppress(asyncio.TimeoutError):
                await asyncio.wait_for(reader.read(1), max(0.1, until - time.monotonic()))
            writer.close()
        await asyncio.sleep(0.5)


async def slow(port: int, until: float) -> None:
    """Send a request byte by byte."""
    while time.monotonic() < until:
        with contextlib.suppress(OSError):
            _, writer = await asyncio.open_connection("127.0.0.1", port)
            for byte in b"POST /sign-in HTTP/1.1\r\nHost: a\r\nContent-Length: 100000\r\n\r\n" + b"x" * 1000:
                if time.monotonic() > until:
                    break
                writer.write(bytes([byte]))
                await writer.drain()
                await asyncio.sleep(1.0)
            writer.close()


async def crowd(askers: list[Asker], port: int, asked: argparse.Namespace) -> Waits:
    """Let everybody ask for the time given."""
    waits, until = Waits(), time.monotonic() + asked.seconds
    tasks = [ask(asker, port, until, waits, asked.keep) for asker in askers]
    tasks += [silent(port, until) for _ in range(asked.silent)] + [slow(port, until) for _ in range(asked.slow)]
    await asyncio.gather(*tasks)
    return waits


@contextlib.contextmanager
def serving(target, *arguments) -> Iterator[tuple[int, int]]:
    """Run a server in a process of its own and give its port and number."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    process = multiprocessing.get_context("spawn").Process(target=target, args=(*arguments, port), daemon=True)
    process.start()
    for _ in range(600):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 0.2):
            break
        time.sleep(0.1)
    try:
        yield port, process.pid or 0
    finally:
        process.terminate()
        process.join(10)
        process.kill()


def megabytes(pid: int) -> int:
    """Return the memory that a process holds."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    return int(next(line for line in status.splitlines() if line.startswith("VmRSS")).split()[1]) // 1024


def measure(name: str, askers: list[Asker], asked: argparse.Namespace, target, *arguments) -> str:
    with serving(target, *arguments) as (port, pid):
        warm = argparse.Namespace(**(vars(asked) | {"seconds": 5, "silent": 0, "slow": 0}))
        asyncio.run(crowd(askers[-40:], port, warm))
        memory = [megabytes(pid)]

        async def watched() -> Waits:
            watching = asyncio.create_task(watch(pid, memory))
            waits = await crowd(askers, port, asked)
            watching.cancel()
            return waits

        return asyncio.run(watched()).line(name, [*memory, megabytes(pid)])


async def watch(pid: int, memory: list[int]) -> None:
    """Note the megabytes of a process each minute."""
    while True:
        await asyncio.sleep(60)
        memory.append(megabytes(pid))


def main() -> None:
    """Measure both and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, value in (("phones", 1500), ("jobs", 500), ("benches", 24), ("silent", 200), ("slow", 50)):
        parser.add_argument(f"--{name}", type=int, default=value)
    parser.add_argument("--seconds", type=float, default=600)
    parser.add_argument("--every", type=float, default=15, help="seconds between two questions of a phone")
    parser.add_argument("--keep", action="store_true", help="phones keep their connections")
    parser.add_argument("--database", help="records at this URL instead of a SQLite file")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        url = asked.database or f"sqlite:///{folder}/hall.sqlite"
        askers = prepare(url, asked)
        print(f"{'':<18} answers    same  errors  p50 ms  p95 ms  p99 ms  max ms MB by the minute")
        a_minute = argparse.Namespace(**(vars(asked) | {"seconds": min(60, asked.seconds)}))
        print(measure("a bare route", askers, a_minute, serve_bare), flush=True)
        print(measure("the desk", askers, asked, serve_desk, url), flush=True)


if __name__ == "__main__":
    main()
