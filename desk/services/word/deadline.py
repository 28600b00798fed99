"""A limit on the whole of a talk with another machine: one that answers a byte at a time holds nobody for ever."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

STEP_SECONDS = 10.0
"""What one step of a talk may take: connecting, or one answer."""
WHOLE_SECONDS = 30.0


@contextmanager
def within_deadline(sock: Callable[[], socket.socket | None], seconds: float = WHOLE_SECONDS) -> Iterator[None]:
    """Close the socket that SOCK gives when the block has not ended within SECONDS; what waits on it fails then."""

    def close() -> None:
        found = sock()
        if found is not None:
            with suppress(OSError):
                found.shutdown(socket.SHUT_RDWR)
            with suppress(OSError):
                found.close()

    timer = threading.Timer(seconds, close)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def addresses_of(host: str, port: int, seconds: float = STEP_SECONDS) -> list[str]:
    """Return the IP addresses of HOST, or raise OSError; a resolver that says nothing is waited for no longer."""
    found: list[Any] = []

    def look_up() -> None:
        with suppress(OSError):
            found.append(socket.getaddrinfo(host, port, type=socket.SOCK_STREAM))

    looking = threading.Thread(target=look_up, daemon=True)
    looking.start()
    looking.join(seconds)
    if not found:
        raise OSError("its name is not known")
    return list(dict.fromkeys(row[4][0] for row in found[0]))
