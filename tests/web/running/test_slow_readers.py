"""More slow readers than threads: what never reads its answer keeps nobody else from theirs."""

import socket
from contextlib import ExitStack
from http.client import HTTPConnection

import pytest
from flask import Flask

from desk.cli.serve.web_server import THREADS, listen
from tests.web.running.measure_hall import serving

pytestmark = pytest.mark.slow
SLOW = THREADS + 16
LARGE = 600_000
"""More than sockets hold on their own, and as much as the largest pages and sheets of a day."""


def serve_large(port: int) -> None:
    """Serve one large page and one small."""
    app = Flask("large")
    app.add_url_rule("/large", "large", lambda: "x" * LARGE)
    app.add_url_rule("/small", "small", lambda: "here")
    listen(app, "127.0.0.1", port)


def test_slow_readers_keep_nobody_waiting() -> None:
    with serving(serve_large) as (port, _), ExitStack() as held:
        for _ in range(SLOW):
            slow = held.enter_context(socket.socket())
            slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            slow.connect(("127.0.0.1", port))
            slow.sendall(b"GET /large HTTP/1.1\r\nHost: a\r\n\r\n")
        for address, length in (("/small", 4), ("/large", LARGE)):
            connection = HTTPConnection("127.0.0.1", port, timeout=10)
            connection.request("GET", address)
            assert len(connection.getresponse().read()) == length
            connection.close()
