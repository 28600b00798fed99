"""Hands at a desk whose processes are killed: they send a form again until they are told that it is stored."""

import http.client
import random
import re
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise
from urllib.parse import urlencode

from itsdangerous import URLSafeTimedSerializer
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Account, DropOff, Event, Job, Promise, ReelEntry, StateChange
from desk.models.database import Database
from desk.services.bench.jobs import BENCH_CHECKS
from desk.web import create_app
from desk.web.context import password_stamp
from tests import make
from tests.web.conftest import make_house

BENCHES = 3
RAW_TOKEN = "of the one page that every hand has open"


@dataclass(frozen=True)
class Desk:
    """What the hands work with: by bench its racquets, players with one racquet each for the court, a reel."""

    event_id: int
    cookie: str
    token: str
    benches: tuple[tuple[int, int, tuple[int, ...]], ...]
    players: tuple[tuple[int, int], ...]
    court_id: int
    reel_id: int

    @property
    def hands(self) -> int:
        return len(self.benches) + 2


@dataclass
class Told:
    """What the hands were told: the keys of forms that are stored, and what was refused though it was sound."""

    keys: dict[str, list[str]] = field(default_factory=lambda: {"touch": [], "court": [], "string": []})
    refused: list[str] = field(default_factory=list)
    again: int = 0

    @property
    def count(self) -> int:
        return sum(map(len, self.keys.values()))


def prepare(database: Database, *, racquets: int) -> Desk:
    """Fill the records and return what the hands work with."""
    app = create_app(database)
    house = make_house(app, database)
    with database.writing() as session:
        rows = _fill(session, session.get_one(Event, house.event_id), racquets)
        lead = session.scalars(select(Account).where(Account.role == "lead")).one()
        signed = {"account_id": lead.id, "stamp": password_stamp(lead.password_hash), "event_id": house.event_id}
    signer = app.session_interface.get_signing_serializer(app)
    cookie = signer.dumps({"_permanent": True, "csrf_token": RAW_TOKEN} | signed)
    token = URLSafeTimedSerializer(app.secret_key, salt="wtf-csrf-token").dumps(RAW_TOKEN)
    return Desk(event_id=house.event_id, cookie=f"desk={cookie}", token=str(token), **rows)


def _fill(session: Session, event: Event, racquets: int) -> dict[str, object]:
    event.calibration_required = False
    make.set_clock(event, "Mon 09:00", speed=1.0)
    frame, string = make.make_frame(session, event), make.make_string(session, event)
    reel = make.make_reel(session, string, metres=100_000.0)
    benches, players = [], []
    for _ in range(BENCHES):
        machine = make.make_machine(session, event)
        stringer = make.make_stringer(session, event, home_machine_id=machine.id)
        player = make.make_player(session, event)
        own = [make.make_racquet(session, player, frame=frame) for _ in range(racquets)]
        jobs = tuple(make.make_job(session, player, racquet=one).id for one in own)
        benches.append((stringer.id, machine.id, jobs))
    card = {"mains_tension": Decimal("23.5"), "crosses_tension": Decimal("22.5"), "tension_unit": "kg"}
    for _ in range(racquets):
        player = make.make_player(session, event)
        racquet = make.make_racquet(session, player, frame=frame)
        make.make_job(session, player, racquet=racquet, state="handed_over", card=card)
        players.append((player.id, racquet.id))
    court = make.make_court(session, event)
    return {"benches": tuple(benches), "players": tuple(players), "court_id": court.id, "reel_id": reel.id}


class Hand(threading.Thread):
    """One pair of hands: at a bench, at the counter (from the court), or in the store, by its NUMBER."""

    def __init__(self, desk: Desk, number: int, ports: list[int], told: Told, ending: threading.Event) -> None:
        super().__init__(daemon=True)
        self.desk, self.number, self.ports, self.told, self.ending = desk, number, ports, told, ending
        self.dice = random.Random(number)

    def run(self) -> None:
        for kind, key, address, form in self._work():
            if self.ending.is_set():
                return
            if self._send(address, form | {"csrf_token": self.desk.token}):
                self.told.keys[kind].append(key)
            time.sleep(self.dice.random() * 0.2)

    def _work(self) -> Iterator[tuple[str, str, str, dict[str, object]]]:
        if self.number < len(self.desk.benches):
            stringer_id, machine_id, jobs = self.desk.benches[self.number]
            for job_id in jobs:
                for touch, more in (("start", {"machine_id": machine_id}), ("finish", {"checks": list(BENCH_CHECKS)})):
                    key = f"{touch} {job_id}"
                    form = {"job_id": job_id, "request_key": key} | more
                    yield "touch", key, f"/bench/{stringer_id}/{touch}", form
        elif self.number == len(self.desk.benches):
            for player_id, racquet_id in self.desk.players:
                form = {"racquets": [racquet_id], "court_id": self.desk.court_id, "request_key": f"court {player_id}"}
                yield "court", f"court {player_id}", f"/on-court/{player_id}", form
        else:
            for number in range(10_000):
                form = {"what": "receive", "metres": "1", "note": f"string {number}"}
                yield "string", f"string {number}", f"/store/reel/{self.desk.reel_id}/entry", form

    def _send(self, address: str, form: dict[str, object]) -> bool:
        """Send a form until it is told to be stored; what nobody heard of is sent again, as a hand touches again."""
        body = urlencode(form, doseq=True)
        while True:
            status, text = self._post(address, body)
            if status == 303:
                return True
            if status not in {0, 503} and "Nothing was stored" not in text:
                said = " ".join(re.findall(r'class="trouble"[^>]*>([^<]*)', text)) or "without a word"
                self.told.refused.append(f"{form.get('request_key') or form.get('note')} at {address}: {status} {said}")
                return False
            self.told.again += 1
            time.sleep(0.1)

    def _post(self, address: str, body: str) -> tuple[int, str]:
        headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": self.desk.cookie}
        connection = http.client.HTTPConnection("127.0.0.1", self.dice.choice(self.ports), timeout=10)
        try:
            with suppress(OSError, http.client.HTTPException):
                connection.request("POST", address, body, headers)
                answer = connection.getresponse()
                return answer.status, answer.read().decode(errors="replace")
            return 0, ""
        finally:
            connection.close()


def faults_of(database: Database, desk: Desk, told: Told) -> list[str]:
    """Return what is lost, doubled or torn."""
    with database.reading() as session:
        stored = {
            "touch": Counter(session.scalars(select(StateChange.request_key))),
            "court": Counter(session.scalars(select(DropOff.request_key))),
            "string": Counter(session.scalars(select(ReelEntry.note))),
        }
        faults = [
            f"{key} was told and is stored {stored[kind][key]} times"
            for kind, keys in told.keys.items()
            for key in keys
            if stored[kind][key] != 1
        ]
        faults += [f"{key} is stored twice" for kind in stored for key, n in stored[kind].items() if key and n > 1]
        return [*faults, *_torn(session, desk)]


def _torn(session: Session, desk: Desk) -> Iterator[str]:
    """Say what is half done: a change without the one before it, string cut twice, no promise from the court."""
    changes: dict[int, list[StateChange]] = {}
    for change in session.scalars(select(StateChange).order_by(StateChange.id)):
        changes.setdefault(change.job_id, []).append(change)
    states = dict(session.execute(select(Job.id, Job.state)).all())
    for job_id, found in changes.items():
        if any(one.to_state != two.from_state for one, two in pairwise(found)) or found[-1].to_state != states[job_id]:
            yield f"the changes of racquet {job_id} do not follow one another"
    cut = select(ReelEntry.job_id, ReelEntry.part, func.count()).where(ReelEntry.kind == "use")
    times = {(job, part): n for job, part, n in session.execute(cut.group_by(ReelEntry.job_id, ReelEntry.part))}
    for bench in desk.benches:
        for job_id in bench[2]:
            halves = [times.get((job_id, part), 0) for part in ("mains", "crosses")]
            if halves != ([1, 1] if states[job_id] == "strung" else [0, 0]):
                yield f"racquet {job_id} is {states[job_id]} and was cut {halves} times"
    promised = set(session.scalars(select(Promise.job_id)))
    for job_id in session.scalars(select(Job.id).where(Job.on_court)):
        if job_id not in promised:
            yield f"racquet {job_id} came from the court and has no ready time"
