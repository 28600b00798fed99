"""Storing an event that was read: all of it or nothing."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session
from werkzeug.security import generate_password_hash

from desk.errors import Conflict
from desk.models import (
    Base,
    Court,
    Event,
    EventDay,
    Frame,
    HouseTime,
    Machine,
    Match,
    MatchSide,
    Player,
    Price,
    Reel,
    ReelEntry,
    ServiceHours,
    Shift,
    Stringer,
    StringType,
)
from desk.services.acting import Acting, write_log
from desk.services.event_files.cells.trade_cells import Side
from desk.services.event_files.reading import EventFiles
from desk.services.event_files.storing_contacts import store_contacts
from desk.services.event_files.tables.event_table import as_stored
from desk.services.event_files.tables.spec import Row
from desk.services.machines.check_list import CheckForm, begin_list
from desk.trade.event.names import search_name


def store_event(session: Session, files: EventFiles, *, acting: Acting) -> Event:
    """Store the event; drop-offs, incidents and calibrations are not stored (see `script_of`).

    Raises
    ------
    Conflict
        An event of this slug is in the records already.
    """
    slug = files.settings["slug"]
    if session.scalar(select(Event.id).where(Event.slug == slug)) is not None:
        raise Conflict(
            f'There is an event "{slug}" in the records already. '
            "Change the slug in the settings of the event files to import it as another event."
        )
    with session.begin_nested():
        return _Storing(session, files, acting).run()


class _Storing:
    """One import: the ids that its rows got, by table and key."""

    def __init__(self, session: Session, files: EventFiles, acting: Acting) -> None:
        self.session = session
        self.tables = files.tables
        self.acting = acting
        self.event = Event(**as_stored(files.settings.values))
        self.ids: dict[str, dict[Any, int]] = {}

    def run(self) -> Event:
        self.session.add(self.event)
        self.session.flush()
        for table, make, key in self._plain_tables():
            self._store(table, make, key)
        for table, make in (("shifts", self._shift), ("service_hours", self._service), ("prices", self._price)):
            self.session.add_all([make(row) for row in self.tables[table]])
        self._store_sides()
        self._store_openings()
        store_contacts(self.session, self.event, self.tables, self.ids["players"], self.acting)
        begin_list(self.session, self.event, [self._check(row) for row in self.tables["machine_checks"]])
        self.session.flush()
        write_log(self.session, self.event, self.acting, "event", f"{self.event.name} imported: {self._counts()}")
        self.session.flush()
        return self.event

    def _plain_tables(self) -> tuple[tuple[str, Callable[[int, Row], Base], str], ...]:
        return (
            ("days", self._day, "date"),
            ("courts", self._court, "name"),
            ("machines", self._machine, "code"),
            ("stringers", self._stringer, "code"),
            ("players", self._player, "code"),
            ("frames", self._frame, "code"),
            ("strings", self._string, "code"),
            ("reels", self._reel, "code"),
            ("matches", self._match, "code"),
            ("house_times", self._house_time, "key"),
        )

    def _store(self, table: str, make: Callable[[int, Row], Base], key: str) -> None:
        made = [make(position, row) for position, row in enumerate(self.tables[table], start=1)]
        self.session.add_all(made)
        self.session.flush()
        rows = zip(self.tables[table], made, strict=True)
        self.ids[table] = {row[key]: record.id for row, record in rows}

    def _id(self, table: str, key: Any) -> int | None:
        return None if key is None else self.ids[table][key]

    def _day(self, _position: int, row: Row) -> EventDay:
        return EventDay(event_id=self.event.id, date=row["date"], opens_at=row["opens"], closes_at=row["closes"])

    def _court(self, position: int, row: Row) -> Court:
        return Court(event_id=self.event.id, name=row["name"], position=position)

    def _player(self, _position: int, row: Row) -> Player:
        return Player(
            event_id=self.event.id,
            code=row["code"],
            search_name=search_name(row["name"]),
            token=secrets.token_urlsafe(16),
            token_issued_at=self.acting.at,
            **_same(row, "name", "phone", "hours_per_week", "note"),
            own_stringer_id=self._id("stringers", row["stringer"]),
            own_machine_id=self._id("machines", row["machine"]),
        )

    def _machine(self, position: int, row: Row) -> Machine:
        return Machine(
            event_id=self.event.id,
            code=row["code"],
            name=row["name"],
            kind=row["kind"],
            reach_cm=row["reach"],
            position=position,
        )

    def _stringer(self, position: int, row: Row) -> Stringer:
        return Stringer(
            event_id=self.event.id,
            code=row["code"],
            name=row["name"],
            home_machine_id=self._id("machines", row["home_machine"]),
            pace=row["pace"],
            pace_entered=row["pace"],
            strings_gut=row["gut"],
            strings_on_court=row["on_court"],
            is_trainee=row["trainee"],
            most_a_day=row["most_a_day"],
            rate_minor=row["rate"],
            rate_per=row["rate_per"],
            pin_hash=generate_password_hash(row["pin"]) if row["pin"] else "",
            position=position,
        )

    def _shift(self, row: Row) -> Shift:
        return Shift(stringer_id=self._id("stringers", row["stringer"]), from_at=row["from"], to_at=row["to"])

    def _service(self, row: Row) -> ServiceHours:
        return ServiceHours(machine_id=self._id("machines", row["machine"]), from_at=row["from"], to_at=row["to"])

    def _frame(self, _position: int, row: Row) -> Frame:
        low, high = row["tension_low"], row["tension_high"]
        return Frame(
            event_id=self.event.id,
            code=row["code"],
            name=row["name"],
            head_sq_in=row["head_size"],
            head_length_cm=row["head_length"],
            head_width_cm=row["head_width"],
            **_same(row, "mains", "crosses"),
            tension_low=low.value if low else None,
            tension_high=high.value if high else None,
            tension_unit=low.unit if low else None,
        )

    def _string(self, _position: int, row: Row) -> StringType:
        return StringType(
            event_id=self.event.id,
            code=row["code"],
            gauge_mm=row["gauge"],
            **_same(row, "name", "colour", "material"),
        )

    def _reel(self, _position: int, row: Row) -> Reel:
        return Reel(
            event_id=self.event.id,
            code=row["code"],
            string_type_id=self._id("strings", row["string"]),
            kind=row["kind"],
            owner_id=self._id("players", row["owner"]),
            place=row["place"],
            price_minor=row["price"],
        )

    def _store_openings(self) -> None:
        for row in self.tables["reels"]:
            entry = {"reel_id": self._id("reels", row["code"]), "at": self.acting.at, "by": self.acting.by}
            self.session.add(ReelEntry(**entry, kind="opening", metres=row["metres"], measured=False))

    def _check(self, row: Row) -> CheckForm:
        values = {name: value for name, value in row.values.items() if name != "machine"}
        return CheckForm(**values, machine_id=self._id("machines", row["machine"]))

    def _price(self, row: Row) -> Price:
        return Price(
            event_id=self.event.id,
            kind=row["kind"],
            string_type_id=self._id("strings", row["string"]),
            per=row["per"],
            amount_minor=row["amount"],
            tax_basis_points=row["tax_per_cent"],
        )

    def _house_time(self, _position: int, row: Row) -> HouseTime:
        return HouseTime(
            event_id=self.event.id, key=row["key"], minutes=row["minutes"], at=self.acting.at, by=self.acting.by
        )

    def _match(self, _position: int, row: Row) -> Match:
        return Match(
            event_id=self.event.id,
            day_id=self._id("days", row["day"]),
            court_id=self._id("courts", row["court"]),
            start_at=row["start"],
            **_same(row, "code", "position", "format", "start_kind"),
        )

    def _store_sides(self) -> None:
        for row in self.tables["matches"]:
            match_id = self._id("matches", row["code"])
            for number in (1, 2):
                for who in self._who(row[f"side{number}"]):
                    self.session.add(MatchSide(match_id=match_id, side=number, **who))

    def _who(self, side: Side) -> list[dict[str, int | None]]:
        if side.winner_of is not None:
            return [{"winner_of_id": self._id("matches", side.winner_of)}]
        return [{"player_id": self._id("players", player)} for player in side.players]

    def _counts(self) -> str:
        names = ("days", "players", "stringers", "machines", "matches")
        return ", ".join(f"{name} {len(self.tables[name])}" for name in names)


def _same(row: Row, *names: str) -> dict[str, Any]:
    """The cells that are stored under their own names."""
    return {name: row[name] for name in names}
