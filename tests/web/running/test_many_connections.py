"""More connections than a process may have open files at its start."""

import socket
from contextlib import ExitStack
from http.client import HTTPConnection

import pytest
from flask import Flask

from desk.cli.serve.web_server import OTHER_FILES, listen, room_for_connections
from tests.web.running.measure_hall import serving

pytestmark = pytest.mark.slow

resource = pytest.importorskip("resource", reason="Windows has no limit of open files")
FILES, SILENT = 256, 400


def serve_with_few_files(port: int) -> None:
    """Serve a page from a process that begins with few open files allowed."""
    resource.setrlimit(resource.RLIMIT_NOFILE, (FILES, resource.getrlimit(resource.RLIMIT_NOFILE)[1]))
    app = Flask("small")
    app.add_url_rule("/small", "small", lambda: "here")
    listen(app, "127.0.0.1", port)


def test_silent_connections_beyond_the_first_limit_of_files_keep_nobody_out() -> None:
    with serving(serve_with_few_files) as (port, _), ExitStack() as held:
        for _ in range(SILENT):
            held.enter_context(socket.create_connection(("127.0.0.1", port), 5))
        connection = HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", "/small")
        assert connection.getresponse().read() == b"here"
        connection.close()


@pytest.mark.parametrize(("hard", "room"), [(10_000, 4000), (1024, 1024 - OTHER_FILES), (256, 128)])
def test_there_is_room_for_as_many_as_the_system_allows(monkeypatch: pytest.MonkeyPatch, hard: int, room: int) -> None:
    limits = [min(256, hard), hard]
    monkeypatch.setattr(resource, "getrlimit", lambda _kind: tuple(limits))
    monkeypatch.setattr(resource, "setrlimit", lambda _kind, asked: limits.__setitem__(slice(None), asked))
    assert room_for_connections() == room
