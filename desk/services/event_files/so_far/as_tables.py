"""The records of an event as rows of the event files, cell by cell as the importer reads them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import (
    Base,
    Calibration,
    Court,
    Event,
    EventDay,
    Frame,
    HouseTime,
    Job,
    Machine,
    Match,
    Player,
    Price,
    Reel,
    ServiceHours,
    Shift,
    Stringer,
    StringType,
)
from desk.queries.machines.wear import check_list
from desk.queries.string.reel_costs import cost_of
from desk.services.event_files.so_far import contact_rows
from desk.services.event_files.so_far.cell_texts import (
    amount_cell,
    number_cell,
    same,
    side_cell,
    tax_cell,
    with_unit,
    yes_no_cell,
)
from desk.services.event_files.tables.event_table import as_in_file
from desk.trade.event.event_time import EventClock

Cells = dict[str, Any]


def settings_text(session: Session, event: Event) -> str:
    """Return event.toml."""
    lines = [f"# {event.name}, written from the records."]
    for name, value in as_in_file(event).items():
        # JSON's strings, numbers and truth values are also TOML's.
        lines.append(f"{name} = {json.dumps(value, ensure_ascii=False)}")
    return "\n".join(lines) + "\n"


def table_rows(session: Session, event: Event, table: str) -> Iterator[Cells]:
    """Return the rows of one table of the event files; what happened as incidents is told in so_far.json."""
    if table in contact_rows.OF_TABLE:
        return contact_rows.OF_TABLE[table](session, event)
    write = _Tables(session, event).writers().get(table)
    return write() if write else iter(())


class _Tables:
    """One event while it is written."""

    def __init__(self, session: Session, event: Event) -> None:
        self.session, self.event = session, event
        self.dates = [day.date for day in event.days]
        self.clock = EventClock(event.time_zone, min(self.dates, default=date(2000, 1, 1)))

    def writers(self) -> dict[str, Callable[[], Iterator[Cells]]]:
        names = (
            "days", "courts", "players", "machines", "service_hours", "machine_checks", "stringers", "shifts",
            "frames", "strings", "reels", "prices", "house_times", "matches", "dropoffs", "calibrations",
        )  # fmt: skip
        return {name: getattr(self, f"_{name}") for name in names}

    def _all(self, table: type[Base], order: Any = None) -> Iterator[Any]:
        owner = table.event_id  # type: ignore[attr-defined]
        return iter(
            self.session.scalars(
                select(table).where(owner == self.event.id).order_by(table.id if order is None else order)
            )
        )

    def _time(self, at: datetime | None, day: date) -> str:
        """Return HH:MM as of DAY's play: half past midnight is 24:30."""
        if at is None:
            return ""
        local = self.clock.local(at)
        nights = (local.date() - day).days
        return f"{local.hour + 24 * nights:02}:{local.minute:02}"

    def _day(self, at: datetime) -> date:
        """Return the day to whose play a moment belongs: the small hours are the night before."""
        day = self.clock.local(at).date()
        before = [one for one in self.dates if one <= day]
        is_night = self.clock.local(at).hour <= 5 and day not in self.dates
        return before[-1] if is_night and before else day

    def _moment(self, at: datetime | None) -> str:
        return "" if at is None else f"{self._day(at)} {self._time(at, self._day(at))}"

    def _days(self) -> Iterator[Cells]:
        for day in self._all(EventDay, EventDay.date):
            hours = {"opens": self._time(day.opens_at, day.date), "closes": self._time(day.closes_at, day.date)}
            yield {"date": day.date} | hours

    def _courts(self) -> Iterator[Cells]:
        for court in self._all(Court, Court.position):
            yield {"name": court.name}

    def _players(self) -> Iterator[Cells]:
        stringers = {one.id: one.code for one in self._all(Stringer)}
        machines = {one.id: one.code for one in self._all(Machine)}
        for player in self._all(Player):
            yield {
                **same(player, "code", "name", "phone", "note"),
                "hours_per_week": number_cell(player.hours_per_week),
                "stringer": stringers.get(player.own_stringer_id, ""),
                "machine": machines.get(player.own_machine_id, ""),
            }

    def _machines(self) -> Iterator[Cells]:
        for one in self._all(Machine, Machine.position):
            yield {"code": one.code, "name": one.name, "kind": one.kind, "reach": f"{number_cell(one.reach_cm)} cm"}

    def _hours(self, table: Any, owner: Any, name: str) -> Iterator[Cells]:
        found = select(table, owner.code).join(owner).where(owner.event_id == self.event.id).order_by(table.id)
        for row, code in self.session.execute(found):
            day = self._day(row.from_at)
            yield {name: code, "day": day, "from": self._time(row.from_at, day), "to": self._time(row.to_at, day)}

    def _service_hours(self) -> Iterator[Cells]:
        return self._hours(ServiceHours, Machine, "machine")

    def _machine_checks(self) -> Iterator[Cells]:
        codes = {one.id: one.code for one in self._all(Machine)}
        for one in check_list(self.session, self.event):
            every = {"every_racquets": one.every_racquets or "", "every_hours": one.every_hours or ""}
            yield {"name": one.name} | every | {"machine": codes.get(one.machine_id, ""), "note": one.note}

    def _shifts(self) -> Iterator[Cells]:
        return self._hours(Shift, Stringer, "stringer")

    def _stringers(self) -> Iterator[Cells]:
        codes = {machine.id: machine.code for machine in self._all(Machine)}
        for one in self._all(Stringer, Stringer.position):
            yield {
                **same(one, "code", "name", "rate_per"),
                "home_machine": codes.get(one.home_machine_id, ""),
                "pace": one.pace_override or one.pace,
                "gut": yes_no_cell(one.strings_gut),
                "on_court": yes_no_cell(one.strings_on_court),
                "trainee": yes_no_cell(one.is_trainee),
                "most_a_day": "" if one.most_a_day is None else one.most_a_day,
                "rate": amount_cell(one.rate_minor, self.event.currency),
            }

    def _frames(self) -> Iterator[Cells]:
        for one in self._all(Frame):
            yield {
                **same(one, "code", "name", "mains", "crosses"),
                "head_size": with_unit(one.head_sq_in, "sq in"),
                "head_length": with_unit(one.head_length_cm, "cm"),
                "head_width": with_unit(one.head_width_cm, "cm"),
                "tension_low": with_unit(one.tension_low, one.tension_unit),
                "tension_high": with_unit(one.tension_high, one.tension_unit),
            }

    def _strings(self) -> Iterator[Cells]:
        for one in self._all(StringType):
            yield same(one, "code", "name", "colour", "material") | {"gauge": with_unit(one.gauge_mm, "mm")}

    def _reels(self) -> Iterator[Cells]:
        """Reels with the metres that are left, not those of the beginning: an event begun from here has no more."""
        for one in self._all(Reel):
            if one.withdrawn_at is None:
                left = max(0.0, round(sum(entry.metres for entry in one.entries), 2))
                owner = one.owner.code if one.owner else ""
                kind = {"string": one.string_type.code, "kind": one.kind, "metres": number_cell(left)}
                price = amount_cell(cost_of(one, left), self.event.currency)
                yield {"code": one.code} | kind | {"owner": owner, "place": one.place, "price": price}

    def _prices(self) -> Iterator[Cells]:
        codes = {one.id: one.code for one in self._all(StringType)}
        for one in self._all(Price):
            string = {"string": codes.get(one.string_type_id, ""), "per": one.per}
            amount = {"amount": amount_cell(one.amount_minor, self.event.currency)}
            yield {"kind": one.kind} | string | amount | {"tax_per_cent": tax_cell(one.tax_basis_points)}

    def _house_times(self) -> Iterator[Cells]:
        for one in self._all(HouseTime):
            yield {"key": one.key, "minutes": one.minutes}

    def _matches(self) -> Iterator[Cells]:
        days = {day.id: day.date for day in self._all(EventDay)}
        matches = list(self._all(Match))
        codes = {"player": {one.id: one.code for one in self._all(Player)}, "match": {m.id: m.code for m in matches}}
        for one in matches:
            day = days[one.day_id]
            place = {"code": one.code, "day": day, "court": one.court.name, "position": one.position}
            start = {"format": one.format, "start_kind": one.start_kind, "start": self._time(one.start_at, day)}
            yield place | start | {f"side{number}": side_cell(one, number, codes) for number in (1, 2)}

    def _dropoffs(self) -> Iterator[Cells]:
        for job in self._all(Job):
            if job.redo_of_id is None:
                yield self._dropoff(job)

    def _dropoff(self, job: Job) -> Cells:
        card, day = job.card, self._day(job.dropped_at)
        needed = self._moment(job.needed_by_at) if job.needed_by_kind == "time" else job.needed_by_kind
        court = self.session.get(Court, job.court_id) if job.court_id else None
        return {
            "day": day,
            "time": self._time(job.dropped_at, day),
            "player": job.player.code,
            "racquet": job.racquet.number,
            "frame": job.racquet.frame.code,
            **{f"{part}_string": string.code for part, string in card.strings.items()},
            **{f"{part}_tension": half.spoken.display() for part, half in card.bed.items()},
            **{f"{part}_pre_stretch": half.pre_stretch for part, half in card.bed.items()},
            **same(card, "pieces", "stencil", "extra_work", "note"),
            "own_string": card.bed.own_string,
            "needed_by": needed,
            "not_before": self._moment(job.not_before_at),
            "on_court": yes_no_cell(job.on_court),
            "court": court.name if court else "",
            "matters": job.matters,
            "as_fresh": yes_no_cell(card.as_fresh),
            "found": job.drop_off.frame_note,
            "consent": job.drop_off.consent,
            "brought_by": job.drop_off.brought_by,
        }

    def _calibrations(self) -> Iterator[Cells]:
        stringers = {one.name: one.code for one in self._all(Stringer)}
        found = select(Calibration, Machine.code).join(Machine).where(Machine.event_id == self.event.id)
        for one, machine in self.session.execute(found.order_by(Calibration.id)):
            day = self._day(one.at)
            when = {"day": day, "time": self._time(one.at, day), "machine": machine, "by": stringers.get(one.by, "")}
            yield when | {"reference": with_unit(one.reference, one.unit), "reading": with_unit(one.reading, one.unit)}
