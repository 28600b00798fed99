"""An event asked for by name: in files, stored for the while in records of its own, or in the records."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.orm import Session

from desk.models import Event
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.services.acting import Acting
from desk.services.event_files.reading import EventFiles, read_event
from desk.services.event_files.so_far.storing import store_so_far
from desk.services.event_files.so_far.writing import SO_FAR
from desk.services.event_files.storing import store_event
from desk.trade.event.event_time import utc_now


@contextmanager
def opened(url: str, event: str, *, as_it_stood: bool = True) -> Iterator[tuple[Session, Event, EventFiles | None]]:
    """Give a session, the event, and the files named EVENT; without such files the event of the records.

    A folder that `export-event` wrote is opened AS_IT_STOOD then, and its tables are not read.
    """
    path = Path(event)
    if not path.exists():
        with Database(url) as database, database.reading() as session:
            yield session, event_by_slug(session, event), None
        return
    with tempfile.TemporaryDirectory() as folder, Database(f"sqlite:///{folder}/event.sqlite") as database:
        database.upgrade()
        with database.writing() as session:
            if as_it_stood and (path / SO_FAR).is_file():
                yield session, store_so_far(session, path, acting=Acting(by="files", at=utc_now())), None
                return
            files = read_event(path)
            yield session, store_event(session, files, acting=Acting(by="files", at=files.clock.to_utc(0))), files
