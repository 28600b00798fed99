"""A request that comes in byte by byte keeps no connection; one that comes slowly and steadily is answered."""

import socket
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from flask import Flask, request

from desk.cli.serve import web_server
from tests.web.running.measure_hall import serving

pytestmark = pytest.mark.slow
SILENT = 2
HEAD = b"POST /count HTTP/1.1\r\nHost: a\r\nContent-Length: 4000\r\n\r\n"


def serve_impatient(port: int) -> None:
    """Serve what counts the bytes of a body; who is silent for two seconds is put away."""
    web_server.SILENT_SECONDS = SILENT
    app = Flask("count")
    app.add_url_rule("/count", "count", lambda: str(len(request.get_data())), methods=["POST"])
    web_server.listen(app, "127.0.0.1", port)


def sent(port: int, parts: list[bytes], *, every: float) -> bytes:
    """Send PARTS, one EVERY so many seconds, until the server closes or answers; return what it said."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as connection:
        for part in parts:
            try:
                connection.sendall(part)
            except OSError:
                return b""
            time.sleep(every)
        try:
            return connection.recv(1000)
        except ConnectionError:
            return b""


def test_a_byte_now_and_then_is_put_away_and_a_slow_body_is_answered() -> None:
    steady, drops = [HEAD, *([b"x" * 400] * 10)], [bytes([byte]) for byte in HEAD[:60]]
    drops_of_a_body = [HEAD, *([b"x"] * 60)]
    with serving(serve_impatient) as (port, _), ThreadPoolExecutor(3) as hands:
        answers = list(hands.map(lambda parts: sent(port, parts, every=0.25), (steady, drops, drops_of_a_body)))
    assert answers[0].endswith(b"4000")
    assert answers[1:] == [b"", b""]
