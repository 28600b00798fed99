"""Sheets that take a while, made beside the request, so that a page can show how far they are."""

from __future__ import annotations

import logging
import secrets
import threading
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date, datetime

from desk.errors import DeskError, NotFound
from desk.models import Event
from desk.models.database import Database
from desk.queries.close.usage_files import file_name, read_usage, usage_bytes

KEPT = 8
"""Sheets that are kept until they are fetched; an older one is made again on request."""


@dataclass(kw_only=True)
class Making:
    """One sheet being made: rows written so far and in all, then its content, or why it failed."""

    event_id: int
    day: date | None
    suffix: str
    at: datetime
    done: int = 0
    rows: int = 0
    name: str = ""
    content: bytes | None = None
    trouble: str = ""

    @property
    def is_over(self) -> bool:
        return self.content is not None or bool(self.trouble)


class SheetMaker:
    """The sheets that this server makes at the moment, by an unguessable key."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._makings: OrderedDict[str, Making] = OrderedDict()

    def start(self, making: Making) -> str:
        """Begin a sheet and return its key."""
        key = secrets.token_urlsafe(16)
        with self._lock:
            self._makings[key] = making
            while len(self._makings) > KEPT:
                self._makings.popitem(last=False)
        threading.Thread(target=self._make, args=(making,), daemon=True).start()
        return key

    def of(self, key: str, event_id: int) -> Making:
        """Return a sheet of this event by its key."""
        making = self._makings.get(key)
        if making is None or making.event_id != event_id:
            raise NotFound("This sheet is no longer kept; make it again from the page Close of day.")
        return making

    def _make(self, making: Making) -> None:
        def count(done: int, rows: int) -> None:
            making.done, making.rows = done, rows

        try:
            with self._database.reading() as session:
                event = session.get_one(Event, making.event_id)
                report = read_usage(session, event, making.day, at=making.at)
                csv_form = event.csv_form
                making.name = file_name(event, making.day, making.suffix)
            making.content = usage_bytes(report, making.suffix, csv_form=csv_form, progress=count)
        except DeskError as error:
            making.trouble = str(error)
        except Exception:
            logging.getLogger("desk.web").exception("A sheet could not be made")
            making.trouble = (
                "The sheet could not be made because of a fault in the program; its log has the details. Try again."
            )
