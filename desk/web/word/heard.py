"""Whether the sender is heard: its beats in the records grow while it is well, and here it is seen when they stop."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

SILENT_SECONDS = 20.0


@dataclass
class SenderWatch:
    """Looks at the sender's beats as requests come by; clocks of hosts count for nothing."""

    now: Callable[[], float] = time.monotonic
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _beats: int = -1
    _seen: float = 0.0

    def __post_init__(self) -> None:
        self._seen = self.now()

    def silent_seconds(self, beats: int) -> float:
        """Return for how long nothing was heard of the sender; 0 while it is well."""
        with self._lock:
            if beats != self._beats:
                self._beats, self._seen = beats, self.now()
            silent = self.now() - self._seen
            return silent if silent > SILENT_SECONDS else 0.0
