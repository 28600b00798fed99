"""Whether the plan on the screens is kept up to date, and since when not.

The clocks of hosts differ and jump, so nothing is read from them here: a heart that does not beat and a change that
nobody plans are noticed by how long this process has seen them stand still.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

SILENT_SECONDS = 6.0


@dataclass
class _Seen:
    """What was seen last of one event, and since when a change waits for its plan."""

    planned: int = -1
    waiting_since: float | None = None


@dataclass
class PlanWatch:
    """Looks at heart-beats and change numbers as requests come by."""

    now: Callable[[], float] = time.monotonic
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _beats: int = -1
    _beat_seen: float = 0.0
    _events: dict[int, _Seen] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._beat_seen = self.now()

    def stale_seconds(self, event_id: int, *, beats: int, change: int, planned: int) -> float:
        """Return for how long the plan of an event has not been kept up to date; 0 when it is."""
        with self._lock:
            now = self.now()
            if beats != self._beats:
                self._beats, self._beat_seen = beats, now
            seen = self._events.setdefault(event_id, _Seen())
            if change == planned:
                seen.waiting_since = None
            elif seen.waiting_since is None or planned != seen.planned:
                seen.waiting_since = now
            seen.planned = planned
            waiting = 0.0 if seen.waiting_since is None else now - seen.waiting_since
            longest = max(now - self._beat_seen, waiting)
            return longest if longest > SILENT_SECONDS else 0.0
