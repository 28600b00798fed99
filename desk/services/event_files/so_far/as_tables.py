"""The records of an event as rows of the event files, cell by cell as the importer reads them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from functools import cached_property
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Match, Stringer
from desk.queries.finding import in_event
from desk.queries.string.reel_costs import cost_of
from desk.services.event_files.cells.cell_texts import hhmm
from desk.services.event_files.raw import value_text
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.event_table import as_in_file
from desk.services.event_files.tables.spec import Around, Table
from desk.trade.event.event_time import EventClock

Cells = dict[str, Any]

_ENDED = {"contacts": "ended_at", "reels": "withdrawn_at", "machine_checks": "dropped_at", "dropoffs": "redo_of_id"}
"""The column that says of a record that it is written no more."""


def settings_text(session: Session, event: Event) -> str:
    """Return event.toml."""
    lines = [f"# {event.name}, written from the records."]
    for name, value in as_in_file(event).items():
        # JSON's strings, numbers and truth values are also TOML's.
        lines.append(f"{name} = {json.dumps(value, ensure_ascii=False)}")
    return "\n".join(lines) + "\n"


class EventAsTables:
    """One event while it is written."""

    def __init__(self, session: Session, event: Event) -> None:
        self.session, self.event = session, event
        self.dates = [day.date for day in event.days]
        self.clock = EventClock(event.time_zone, min(self.dates, default=date(2000, 1, 1)))
        self._known: dict[str, dict[int, Any]] = {}

    def rows(self, table: Table) -> Iterator[Cells]:
        """Return the rows of one table of the event files; what happened as incidents is told in so_far.json."""
        for record in self._records(table):
            around = Around(self.clock, self.event.currency, self._made_up(table, record))
            if self._fill(table, record, around.values):
                yield {
                    column.name: (
                        column.write(around.values[column.name], around)
                        if column.write
                        else value_text(around.values[column.name])
                    )
                    for column in table.columns
                }

    def _records(self, table: Table) -> Iterator[Any]:
        record: Any = table.record
        if record is None or record is Event:
            return iter(())
        found = select(record).where(in_event(record.__table__, self.event.id))
        if table.name in _ENDED:
            found = found.where(getattr(record, _ENDED[table.name]).is_(None))
        return iter(self.session.scalars(found.order_by(getattr(record, table.order), record.id)))

    def _fill(self, table: Table, record: Any, values: Cells) -> bool:
        """Add the values of a record's own columns; tell whether the rows that it names are written too."""
        for column in table.columns:
            if column.name not in values:
                value = None if column.stored is None else getattr(record, column.attribute)
                values[column.name] = self._keys(column.refers).get(value) if column.refers else value
            if column.required and column.refers and values[column.name] is None:
                return False
        return True

    def _keys(self, name: str) -> dict[int, Any]:
        """Return what names each row of a table in others, by the number of its record."""
        if name not in self._known:
            table = BY_NAME[name]
            self._known[name] = {one.id: getattr(one, table.key[0]) for one in self._records(table)}
        return self._known[name]

    def _made_up(self, table: Table, one: Any) -> Cells:
        """Return the values that are no column of the record as it is."""
        made: Cells = {}
        match table.name:
            case "service_hours" | "shifts":
                made = {"day": self._day(one.from_at)}
            case "stringers":
                made = {"pace": one.pace_override or one.pace}
            case "frames" if one.tension_low is not None:
                made = {
                    f"tension_{end}": f"{getattr(one, f'tension_{end}')} {one.tension_unit}" for end in ("low", "high")
                }
            case "reels":
                # What is left, not what there was at the beginning: an event begun from here has no more.
                left = max(0.0, round(sum(entry.metres for entry in one.entries), 2))
                made = {"metres": left, "price": cost_of(one, left)}
            case "pay_rules":
                made = {"covers": one.covers.replace(",", " ")}
            case "matches":
                made = {f"side{number}": self._side(one, number) for number in (1, 2)}
            case "dropoffs":
                made = self._drop_off(one)
            case "calibrations":
                tensions = {name: f"{getattr(one, name)} {one.unit}" for name in ("reference", "reading")}
                made = {"day": self._day(one.at), "time": one.at, "by": self._code_of_name.get(one.by)} | tensions
        return made

    def _day(self, at: datetime) -> date:
        """Return the day to whose play a moment belongs: the small hours are the night before."""
        day = self.clock.local(at).date()
        before = [one for one in self.dates if one <= day]
        is_night = self.clock.local(at).hour <= 5 and day not in self.dates
        return before[-1] if is_night and before else day

    def _moment(self, at: datetime | None) -> str:
        return "" if at is None else f"{self._day(at)} {hhmm(self.clock, at, self._day(at))}"

    def _side(self, match: Match, number: int) -> str:
        """A side of a match: its players by their codes, or the match whose winner it is."""
        sides = [side for side in match.sides if side.side == number]
        players, matches = self._keys("players"), self._keys("matches")
        waits = [matches[side.winner_of_id] for side in sides if side.winner_of_id in matches]
        if waits:
            return f"winner of {waits[0]}"
        return " / ".join(players[side.player_id] for side in sides if side.player_id in players)

    @cached_property
    def _code_of_name(self) -> dict[str, str]:
        found = select(Stringer.name, Stringer.code).where(Stringer.event_id == self.event.id)
        return dict(self.session.execute(found).all())

    def _drop_off(self, job: Job) -> Cells:
        card = job.card
        return {
            "day": self._day(job.dropped_at),
            "time": job.dropped_at,
            "racquet": job.racquet.number,
            "frame": job.racquet.frame.code,
            **{f"{part}_string": string.code for part, string in card.strings.items()},
            **{f"{part}_tension": half.spoken.display() for part, half in card.bed.items()},
            **{f"{part}_pre_stretch": half.pre_stretch for part, half in card.bed.items()},
            **{name: getattr(card, name) for name in ("pieces", "stencil", "extra_work", "note", "as_fresh")},
            "own_string": card.bed.own_string,
            "needed_by": self._moment(job.needed_by_at) if job.needed_by_kind == "time" else job.needed_by_kind,
            "not_before": self._moment(job.not_before_at),
            "frame_check": job.frame_check,
            "found": job.drop_off.frame_note,
            "consent": job.drop_off.consent,
            "brought_by": job.drop_off.brought_by,
        }
