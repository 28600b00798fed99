"""The web server: which one, and how many it serves at once."""

from __future__ import annotations

import logging
import time
from contextlib import suppress
from typing import Any

import waitress
from waitress.channel import HTTPChannel
from waitress.server import BaseWSGIServer

try:
    import resource
except ImportError:
    resource = None  # type: ignore[assignment]  # Windows has no limit of open files to raise.

from desk.web.security import LARGEST_BODY

THREADS = 24
MOST_CONNECTIONS = 4000
OTHER_FILES = 150
"""Files that the desk has open beside its connections: records, logs, the program's own."""
SILENT_SECONDS = 20
LEAST_PACE = 500
"""Bytes a second below which a request that is coming in falls silent."""


class SteadyChannel(HTTPChannel):
    """A connection that is kept only while a request comes in at the least pace: a byte now and then is silence."""

    came, begun_at = 0, 0.0

    def received(self, data: bytes) -> bool:
        now = time.time()
        if self.request is None:
            self.came, self.begun_at = 0, now
        self.came += len(data)
        went_on: bool = super().received(data)
        if self.request is not None:
            self.last_activity = min(now, self.begun_at + self.came / LEAST_PACE)
        return went_on


def listen(app: Any, host: str, port: int) -> None:
    """Serve APP until the process is ended; who says nothing for a while is put away."""
    logging.getLogger("waitress").setLevel(logging.ERROR)
    BaseWSGIServer.channel_class = SteadyChannel
    waitress.serve(
        app,
        host=host,
        port=port,
        threads=THREADS,
        ident="stringing-desk",
        connection_limit=room_for_connections(),
        backlog=2048,
        channel_timeout=SILENT_SECONDS,
        cleanup_interval=5,
        asyncore_use_poll=True,
        max_request_body_size=2 * LARGEST_BODY,
    )


def room_for_connections() -> int:
    """Raise this process's limit of open files as far as the system lets it, and return how many may be connected.

    Beyond the limit nobody is let in, and the records cannot be opened either.
    """
    if resource is None:
        return MOST_CONNECTIONS
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_CONNECTIONS + OTHER_FILES
    if 0 <= soft < wanted:
        with suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted if hard < 0 else min(wanted, hard), hard))
        soft = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
    if not 0 <= soft < wanted:
        return MOST_CONNECTIONS
    room = max(soft - OTHER_FILES, soft // 2)
    logging.getLogger("desk.serve").warning("Room for %d connections at once; “ulimit -Hn %d” makes more", room, wanted)
    return room
