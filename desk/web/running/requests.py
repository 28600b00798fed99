"""Every request with a number of its own, counted and written to the log; no address of a person's page, no name."""

from __future__ import annotations

import logging
import re
import secrets
import threading
import time
from collections import Counter
from types import TracebackType

from flask import Flask, current_app, g, request
from werkzeug.wrappers import Response

from desk.web import context

BUCKETS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.2, 0.5, 1.0, 2.5, 5.0, 10.0)
_PLAIN_ID = re.compile(r"[A-Za-z0-9_-]{8,64}")
log = logging.getLogger("desk.requests")


class RequestCounts:
    """Answers since the start by status, and how long they took."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.answers: Counter[int] = Counter()
        self.within: Counter[float] = Counter()
        self.seconds = 0.0

    def count(self, status: int, seconds: float) -> None:
        with self._lock:
            self.answers[status] += 1
            self.seconds += seconds
            for bucket in BUCKETS:
                self.within[bucket] += seconds <= bucket

    @property
    def total(self) -> int:
        return sum(self.answers.values())


def _begin() -> None:
    asked = request.headers.get("X-Request-Id", "")
    g.request_id = asked if _PLAIN_ID.fullmatch(asked) else secrets.token_hex(8)
    g.begun = time.perf_counter()


def _end(response: Response) -> Response:
    if "begun" not in g:
        return response
    seconds = time.perf_counter() - g.begun
    current_app.extensions["request_counts"].count(response.status_code, seconds)
    response.headers["X-Request-Id"] = g.request_id
    facts = _facts() | {"status": response.status_code, "ms": round(1000 * seconds, 1)}
    log.info("%s %s", request.method, request.endpoint, extra={"facts": facts})
    return response


def _facts() -> dict[str, object]:
    actor = context.actor()
    return {"request": g.get("request_id", ""), "endpoint": request.endpoint, "role": actor.role if actor else ""}


def _log_fault(
    exc_info: tuple[type, BaseException, TracebackType] | tuple[None, None, None],
) -> None:
    """Log a fault with its request's number instead of its address, which may be a player's own."""
    log.error("Fault in %s %s", request.method, request.endpoint, exc_info=exc_info, extra={"facts": _facts()})


def add_requests(app: Flask) -> None:
    """Number, count and log what is asked of APP."""
    app.extensions["request_counts"] = RequestCounts()
    app.before_request(_begin)
    app.after_request(_end)
    app.log_exception = _log_fault  # type: ignore[method-assign]
