"""A Monday of ten jobs, small enough to be added up by hand; every name and number is invented.

|  | player | dropped | needed | promised | started | strung | min | handed | m | bench |
|---|---|---|---|---|---|---|---|---|---|---|
| 1 | Alma | 09:00 | 11:00 | 10:30 | 09:10 | 09:30 | 20 | 10:00 | 11.0 | 1 |
| 2 | Alma | 09:00 | 11:00 | 10:30 | 09:30 | 09:55 | 25 | 10:00 | 11.0 | 1 |
| 3 | Bruno | 09:20 | 10:00 | 10:00 | 09:25 | 09:50 | 25 | 09:58 | 12.0 | 2 |
| 4 | Bruno | 09:20 | 10:00 | 10:00 | 09:50 | 10:20 | 30 | 10:25 | 12.0 | 2 |
| 5 | Celia, on court | 11:00 | 11:15 | 11:20 | 11:02 | 11:16 | 14 | 11:18 | 10.5 | 1 |
| 6 | Dario, on court | 11:05 | 11:30 | 11:25 | 11:07 | 11:29 | 22 | 11:31 | 10.5 | 2 |
| 7 | Elif | 12:00 | | | 12:10 | 12:45 | 35 | | 11.5 | 1 |
| 8 | Fabio, strung again as 9 | 12:30 | 18:00 | 13:30, then 14:00 | 13:15 | 13:40 | 25 | | 11.5 | 2 |
| 9 | Fabio | 14:00 | 18:00 | | 14:10 | 14:35 | 25 | 15:00 | 11.5 | 2 |
| 10 | Greta | 16:00 | Tue 11:00 | Tue 10:00 | | | | | | |
"""

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any, Self

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import (
    Charge,
    Event,
    HandOver,
    Job,
    Machine,
    Player,
    Promise,
    Reel,
    ReelEntry,
    Settlement,
    StateChange,
    Stringer,
)
from desk.models.database import Database
from desk.queries.close import usage_report
from exports.report import UsageReport
from tests import make

MONDAY = make.FIRST_DAY
KG = {"mains_tension": Decimal("24"), "crosses_tension": Decimal("23"), "tension_unit": "kg"}


@dataclass
class Bench:
    """An event with two stringers at two machines and a reel of 200 m, to string on by the clock."""

    session: Session
    event: Event
    stringers: list[Stringer] = field(default_factory=list)
    machines: list[Machine] = field(default_factory=list)
    reel: Reel | None = None
    players: dict[str, Player] = field(default_factory=dict)
    jobs: list[Job] = field(default_factory=list)

    @classmethod
    def set_up(cls, session: Session, event: Event) -> Self:
        bench = cls(session, event)
        for number in (1, 2):
            bench.machines.append(make.make_machine(session, event, name=f"Bench {number}"))
            bench.stringers.append(make.make_stringer(session, event, name=f"Stringer {number}"))
        bench.reel = make.make_reel(session, make.make_string(session, event))
        return bench

    def at(self, text: str) -> datetime:
        day = self.event.days[0].date
        words = text if " " in text else f"{day.isoformat()} {text}"
        return make.moment(words, zone=self.event.time_zone, first_day=day)

    def of_event(self) -> list[Job]:
        """Return every job of the event, also those that another bench took in."""
        return list(self.session.scalars(select(Job).where(Job.event_id == self.event.id).order_by(Job.id)))

    def player(self, name: str) -> Player:
        self.players[name] = make.make_player(self.session, self.event, name=name)
        return self.players[name]

    def take_in(self, player: Player, dropped: str, *, needed: str = "", promised: tuple[str, ...] = (), **over: Any):
        """Return a job that waits; the first line of its states is its drop-off, unless it is a redo."""
        job = make.make_job(
            self.session,
            player,
            dropped_at=self.at(dropped),
            needed_by_at=self.at(needed) if needed else None,
            needed_by_why="Court 1 is on.",
            **over,
        )
        self.jobs.append(job)
        if job.redo_of_id is None:
            self._change(job, "", "waiting", dropped)
        for told in promised:
            self.session.add(Promise(job_id=job.id, ready_at=self.at(told), given_at=job.dropped_at, by="desk"))
        self.session.flush()
        return job

    def string(self, job: Job, started: str, finished: str, metres: float, *, bench: int = 1, labour: int = 2000):
        """String a job on a bench: half of its metres for the mains, charged with 15.00 of string."""
        job.stringer_id, job.machine_id = self.stringers[bench - 1].id, self.machines[bench - 1].id
        job.started_at, job.finished_at, job.state = self.at(started), self.at(finished), "strung"
        self._change(job, "waiting", "on_machine", started)
        self._change(job, "on_machine", "strung", finished)
        when = {"at": job.finished_at, "by": "bench", "job_id": job.id}
        for part in ("mains", "crosses"):
            entry = ReelEntry(reel_id=self.reel.id, kind="use", metres=-metres / 2, part=part, **when)
            self.session.add(entry)
        if labour:
            for kind, minor in (("labour", labour), ("string", 1500), ("on_court", 500 * job.on_court)):
                if minor:
                    self._charge(job, kind, minor)
        self.session.flush()

    def _charge(self, job: Job, kind: str, minor: int) -> None:
        owed = {"event_id": job.event_id, "player_id": job.player_id, "job_id": job.id, "at": job.finished_at}
        self.session.add(Charge(kind=kind, text=kind, amount_minor=minor, currency="EUR", by="bench", **owed))

    def hand_over(self, job: Job, when: str) -> None:
        given = {"event_id": job.event_id, "player_id": job.player_id, "at": self.at(when)}
        hand_over = HandOver(by="desk", collected_by="a coach", **given)
        self.session.add(hand_over)
        self.session.flush()
        job.hand_over_id, job.state = hand_over.id, "handed_over"
        self._change(job, "strung", "handed_over", when)

    def move(self, job: Job, state: str, when: str) -> None:
        self._change(job, job.state, state, when)
        job.state = state
        self.session.flush()

    def _change(self, job: Job, before: str, after: str, when: str) -> None:
        at = self.at(when)
        self.session.add(StateChange(job_id=job.id, at=at, by="desk", from_state=before, to_state=after))
        self.session.flush()

    def pay(self, player: Player, minor: int, when: str) -> None:
        paid = {"event_id": self.event.id, "player_id": player.id, "currency": "EUR", "method": "cash", "by": "desk"}
        self.session.add(Settlement(amount_minor=minor, at=self.at(when), **paid))
        self.session.flush()


def ten_jobs(session: Session, event: Event) -> Self:
    """Fill the Monday of an event with the ten jobs above; Alma pays, 2 m are spoiled, the reel measures 96 m."""
    desk = Bench.set_up(session, event)
    alma, bruno, celia, dario, elif_, fabio, greta = (
        desk.player(name) for name in ("Alma", "Bruno", "Celia", "Dario", "Elif", "Fabio", "Greta")
    )
    first = desk.take_in(alma, "09:00", needed="11:00", promised=("10:30",))
    second = desk.take_in(alma, "09:00", needed="11:00", promised=("10:30",))
    third = desk.take_in(bruno, "09:20", needed="10:00", promised=("10:00",))
    fourth = desk.take_in(bruno, "09:20", needed="10:00", promised=("10:00",))
    fifth = desk.take_in(celia, "11:00", needed="11:15", promised=("11:20",), on_court=True, card=KG)
    sixth = desk.take_in(dario, "11:05", needed="11:30", promised=("11:25",), on_court=True)
    seventh = desk.take_in(elif_, "12:00")
    eighth = desk.take_in(fabio, "12:30", needed="18:00", promised=("13:30", "14:00"))
    desk.take_in(greta, "16:00", needed="Tue 11:00", promised=("Tue 10:00",))
    desk.string(first, "09:10", "09:30", 11.0)
    desk.string(second, "09:30", "09:55", 11.0)
    desk.string(third, "09:25", "09:50", 12.0, bench=2)
    desk.string(fourth, "09:50", "10:20", 12.0, bench=2)
    desk.string(fifth, "11:02", "11:16", 10.5)
    desk.string(sixth, "11:07", "11:29", 10.5, bench=2)
    desk.string(seventh, "12:10", "12:45", 11.5)
    desk.string(eighth, "13:15", "13:40", 11.5, bench=2)
    desk.move(eighth, "redo", "14:00")
    ninth = desk.take_in(
        fabio, "14:00", needed="18:00", redo_of_id=eighth.id, drop_off=eighth.drop_off, racquet=eighth.racquet
    )
    desk.string(ninth, "14:10", "14:35", 11.5, bench=2, labour=0)
    for job, when in (
        (first, "10:00"),
        (second, "10:00"),
        (third, "09:58"),
        (fourth, "10:25"),
        (fifth, "11:18"),
        (sixth, "11:31"),
        (ninth, "15:00"),
    ):
        desk.hand_over(job, when)
    desk.pay(alma, 7000, "10:00")
    for kind, metres in (("waste", -2.0), ("correction", -0.5)):
        session.add(ReelEntry(reel_id=desk.reel.id, at=desk.at("20:00"), by="desk", kind=kind, metres=metres))
    session.flush()
    return desk


def monday(session: Session, event: Event, at: str = "Mon 22:00") -> UsageReport:
    """Return the sheet of the event's Monday as it stood AT that time."""
    return usage_report(session, event, MONDAY, at=make.moment(at))


def report_of_ten_jobs(database: Database) -> UsageReport:
    """Return the sheet of the day above, in an event of two days."""
    with database.writing() as session:
        event = make.make_event(session, days=2)
        ten_jobs(session, event)
        return monday(session, event)
