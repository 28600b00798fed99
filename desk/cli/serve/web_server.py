"""The web server: which one, and how many it serves at once."""

from __future__ import annotations

import logging
from typing import Any

import waitress

from desk.web.security import LARGEST_BODY

THREADS = 24
MOST_CONNECTIONS = 4000
SILENT_SECONDS = 20


def listen(app: Any, host: str, port: int) -> None:
    """Serve APP until the process is ended; who says nothing for a while is put away."""
    logging.getLogger("waitress").setLevel(logging.ERROR)
    waitress.serve(
        app,
        host=host,
        port=port,
        threads=THREADS,
        ident="stringing-desk",
        connection_limit=MOST_CONNECTIONS,
        backlog=2048,
        channel_timeout=SILENT_SECONDS,
        cleanup_interval=5,
        asyncore_use_poll=True,
        max_request_body_size=2 * LARGEST_BODY,
    )
