"""Storing an event that was read: all of it or nothing."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session
from werkzeug.security import generate_password_hash

from desk.errors import Conflict
from desk.models import Event, MatchSide, ReelEntry
from desk.services.acting import Acting, write_log
from desk.services.event_files.reading import EventFiles
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.event_table import as_stored
from desk.services.event_files.tables.spec import Row, Table
from desk.services.machines.check_list import begin_list
from desk.services.money.prices import KINDS
from desk.trade.contacts import USUAL
from desk.trade.event.names import search_name

_IN_THEIR_ORDER = (
    *("days", "courts", "machines", "stringers", "players", "frames", "strings", "reels", "matches", "house_times"),
    *("shifts", "service_hours", "prices", "contacts", "contact_players", "pay_rules", "machine_checks"),
)
"""Each table after those to which it refers."""

IMPORTED = " imported: "
"""Stands in the log line of an import, between the event's name and what was taken in."""


def store_event(session: Session, files: EventFiles, *, acting: Acting) -> Event:
    """Store the event; drop-offs, incidents and calibrations are not stored (see `script_of`)."""
    slug = files.settings["slug"]
    if session.scalar(select(Event.id).where(Event.slug == slug)) is not None:
        raise Conflict(
            f'There is an event "{slug}" in the records already. '
            "While nothing was dropped off there, `import --again` puts corrected files in its place; later correct it "
            "on its screens. Change the slug in the settings of the event files to import it as another event."
        )
    with session.begin_nested():
        return set_event(session, files, Event(**as_stored(files.settings.values)), acting)


def set_event(session: Session, files: EventFiles, event: Event, acting: Acting) -> Event:
    """Store all that belongs to EVENT, which has nothing yet."""
    return _Storing(session, files, event, acting).run()


def taken_in(files: EventFiles) -> str:
    """Say how many rows of each table are stored."""
    return _counts(files, _IN_THEIR_ORDER)


def left_to_play(files: EventFiles) -> str:
    """Say how many rows of each table are only the script of a played day."""
    return _counts(files, [name for name in files.tables if name not in ("event", *_IN_THEIR_ORDER)])


def _counts(files: EventFiles, names: Sequence[str]) -> str:
    found = {name: len(files.tables[name]) for name in names}
    return ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in found.items() if count)


def without_price(files: EventFiles) -> str:
    """Say what the price list leaves out, and so costs nothing; nothing where there is no price list."""
    prices = files.tables["prices"]
    kinds = {row["kind"] for row in prices}
    priced = {row["string"] for row in prices if row["kind"] == "string"}
    names = [kind.replace("_", " ") for kind in KINDS if kind not in kinds and kind != "string"]
    if None not in priced:
        names += [f"string {row['code']}" for row in files.tables["strings"] if row["code"] not in priced]
    return ", ".join(names) if prices else ""


class _Storing:
    """One import: the ids that its rows got, by table and key."""

    def __init__(self, session: Session, files: EventFiles, event: Event, acting: Acting) -> None:
        self.session = session
        self.files, self.tables = files, files.tables
        self.acting = acting
        self.event = event
        self.ids: dict[str, dict[Any, int]] = {}

    def run(self) -> Event:
        self.session.add(self.event)
        self.session.flush()
        for name in _IN_THEIR_ORDER:
            self._store(BY_NAME[name])
        self._store_sides()
        if not self.tables["machine_checks"]:
            begin_list(self.session, self.event)
        write_log(self.session, self.event, self.acting, "event", f"{self.event.name}{IMPORTED}{taken_in(self.files)}")
        self.session.flush()
        return self.event

    def _store(self, table: Table) -> None:
        assert table.record is not None
        rows = self.tables[table.name]
        made = [table.record(**self._values(table, row, number)) for number, row in enumerate(rows, start=1)]
        self.session.add_all(made)
        self.session.flush()
        if table.key:
            self.ids[table.name] = {row[table.key[0]]: one.id for row, one in zip(rows, made, strict=True)}

    def _values(self, table: Table, row: Row, number: int) -> dict[str, Any]:
        """Return what the record of a row holds: what any record of its kind does, its cells, what these make up."""
        usual = {
            "event_id": self.event.id,
            "position": number,
            "search_name": search_name(row.get("name") or ""),
            "token": secrets.token_urlsafe(16),
            "token_issued_at": self.acting.at,
            "at": self.acting.at,
            "by": self.acting.by,
        }
        cells = {
            column.attribute: self.ids[column.refers][row[column.name]] if column.refers else row[column.name]
            for column in table.columns
            if column.stored is not None and row[column.name] is not None
        }
        has = table.record.__table__.c if table.record else ()
        return {name: value for name, value in usual.items() if name in has} | self._made_up(table, row) | cells

    def _made_up(self, table: Table, row: Row) -> dict[str, Any]:
        match table.name:
            case "stringers":
                pin = row["pin"]
                return {"pace_entered": row["pace"], "pin_hash": generate_password_hash(pin) if pin else ""}
            case "frames" if row["tension_low"]:
                low, high = row["tension_low"], row["tension_high"]
                return {"tension_low": low.value, "tension_high": high.value, "tension_unit": low.unit}
            case "reels":
                opening = {"kind": "opening", "metres": row["metres"], "measured": False}
                return {"entries": [ReelEntry(at=self.acting.at, by=self.acting.by, **opening)]}
            case "contact_players":
                return asdict(
                    USUAL[next(one["kind"] for one in self.tables["contacts"] if one["code"] == row["contact"])]
                )
            case "pay_rules":
                return {"covers": ",".join(row["covers"])}
        return {}

    def _store_sides(self) -> None:
        for row in self.tables["matches"]:
            for number in (1, 2):
                side, place = row[f"side{number}"], {"match_id": self.ids["matches"][row["code"]], "side": number}
                who = [{"player_id": self.ids["players"][code]} for code in side.players]
                if side.winner_of is not None:
                    who = [{"winner_of_id": self.ids["matches"][side.winner_of]}]
                self.session.add_all(MatchSide(**place, **one) for one in who)
