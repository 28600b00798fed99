"""The log: lines for people on the terminal, and where a file is named, a line of JSON for each."""

from __future__ import annotations

import json
import logging
import os
from datetime import UTC, datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path

from desk.errors import BadInput
from desk.installation import setting

MOST_BYTES = 10_000_000
KEPT = 5


class JsonLines(logging.Formatter):
    """One JSON object a line; `facts` of a record stand beside its text."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the record as a line."""
        line = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "text": record.getMessage(),
        } | getattr(record, "facts", {})
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False, default=str)


def begin_logging() -> None:
    """Log to the terminal, and to DESK_LOG_FILE as well: for its owner alone, 50 MB at most."""
    screen = logging.StreamHandler()
    screen.setFormatter(logging.Formatter("%(asctime)s %(name)s %(message)s"))
    screen.addFilter(lambda record: record.name != "desk.requests")
    handlers: list[logging.Handler] = [screen]
    if setting("DESK_LOG_FILE"):
        handlers.append(_file(Path(setting("DESK_LOG_FILE"))))
    logging.basicConfig(level=logging.INFO, handlers=handlers, force=True)
    for name in ("waitress", "alembic"):
        logging.getLogger(name).setLevel(logging.ERROR)


def _file(path: Path) -> logging.Handler:
    try:
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    except OSError as error:
        raise BadInput(f"DESK_LOG_FILE: {path} cannot be written ({error.strerror}).") from error
    kept = RotatingFileHandler(path, maxBytes=MOST_BYTES, backupCount=KEPT, encoding="utf-8")
    kept.setFormatter(JsonLines())
    return kept
