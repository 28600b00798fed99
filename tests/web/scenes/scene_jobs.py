"""The racquets of a filled scene: in every state, with cards, promises, changes and charges."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from desk.models import Charge, Event, Job, Promise, Reel, ReelEntry, StateChange
from desk.trade.bench.tag_code import make_code
from tests import make

if TYPE_CHECKING:
    from tests.web.scenes.scene import Scene

# state, player, racquet, minutes from now to the promise, minutes since it was finished or started
DAY = (
    ("handed_over", 0, 1, -200, 210), ("handed_over", 0, 2, -170, 180), ("handed_over", 3, 1, -140, 150),
    ("strung", 1, 1, -70, 82), ("strung", 1, 2, -40, 55), ("strung", 2, 1, -15, 31), ("strung", 2, 2, 10, 12),
    ("strung", 6, 1, 25, 4),
    ("on_machine", 2, 3, 12, 14), ("on_machine", 4, 1, -6, 36), ("on_machine", 5, 1, 20, 3),
    ("waiting", 2, 4, 37, 0), ("waiting", 4, 2, 37, 0), ("waiting", 5, 2, 52, 0), ("waiting", 7, 1, 62, 0),
    ("waiting", 7, 2, 87, 0), ("waiting", 3, 2, 92, 0), ("waiting", 6, 2, 122, 0), ("waiting", 0, 3, 1100, 0),
    ("held", 3, 3, 60, 0), ("cancelled", 5, 3, 60, 0),
)  # fmt: skip


def fill_jobs(session: Session, scene: Scene) -> list[Job]:
    """Make the jobs of the day, with their frames, strings and reels."""
    strings = _strings(session, scene.event)
    frames = [
        make.make_frame(session, scene.event, name="Meadow 98"),
        make.make_frame(session, scene.event, name="Harrow 100 Tour", mains=18, crosses=20, head_sq_in=100.0),
    ]
    return [_job(session, scene, number, row, strings, frames) for number, row in enumerate(DAY, start=1)]


def _strings(session: Session, event: Event) -> list:
    strings = [
        make.make_string(session, event, name="Tarn Poly", gauge_mm=1.25, material="polyester", colour="slate"),
        make.make_string(session, event, name="Fell Gut", gauge_mm=1.30, material="natural_gut"),
        make.make_string(session, event, name="Beck Multi", gauge_mm=1.28, material="nylon_multifilament"),
    ]
    for number, string in enumerate(strings, start=1):
        for metres in (31.5, 200.0):
            reel = Reel(event_id=event.id, code=f"R{number}{int(metres)}", string_type_id=string.id, place="Shelf A")
            session.add(reel)
            session.flush()
            opening = make.moment("Mon 08:00")
            session.add(ReelEntry(reel_id=reel.id, at=opening, by="desk", kind="opening", metres=metres))
    return strings


def _job(session: Session, scene: Scene, number: int, row: tuple, strings: list, frames: list) -> Job:
    state, of, racquet_number, promised_in, ago = row
    player = scene.players[of]
    racquet = make.make_racquet(session, player, frame=frames[of % 2], number=racquet_number)
    dropped_at = scene.now - timedelta(minutes=240 - 3 * number)
    drop_off = make.make_drop_off(session, player, at=dropped_at)
    hybrid = of in (2, 6)
    card = {
        "mains_string_id": strings[1 if hybrid else 0].id,
        "crosses_string_id": strings[0].id,
        "mains_tension": Decimal("52.5") if of % 2 == 0 else Decimal("23.5"),
        "crosses_tension": Decimal("50.5") if of % 2 == 0 else Decimal("22.5"),
        "tension_unit": "lb" if of % 2 == 0 else "kg",
        "pieces": 1 if of == 1 else 2,
        "mains_pre_stretch": 10 if hybrid else 0,
        "stencil": "in black" if of == 2 else "",
        "note": "knot on the left, please" if number == 12 else "",
    }
    job = make.make_job(
        session,
        player,
        racquet=racquet,
        drop_off=drop_off,
        card=card,
        dropped_at=dropped_at,
        serial=number,
        code=make_code(4000 + 7 * number),
        on_court=number == 13,
        weight=20 if number == 13 else 5,
        needed_by_at=scene.now + timedelta(minutes=promised_in + 15),
        needed_by_why="plays second on Court 2, not before 14:00",
    )
    _bring_to(session, scene, job, number, state, ago)
    promised = scene.now + timedelta(minutes=promised_in + 2)
    session.add(Promise(job_id=job.id, ready_at=promised, given_at=dropped_at, by="desk"))
    return job


def _bring_to(session: Session, scene: Scene, job: Job, number: int, state: str, ago: int) -> None:
    stringer = scene.stringers[number % 3]
    _change(session, job, job.dropped_at, "desk", "waiting")
    if state in ("held", "cancelled"):
        job.held_reason = "grommet split at 2 o’clock, waits for the owner" if state == "held" else ""
        _change(session, job, job.dropped_at, "desk", state, job.held_reason)
        if state == "held":
            job.drop_off.frame_note = "grommet split at 2 o’clock"
    if state in ("on_machine", "strung", "handed_over"):
        strung_ago = 0 if state == "on_machine" else ago
        started = scene.now - timedelta(minutes=ago if state == "on_machine" else ago + 24)
        job.stringer_id, job.machine_id = stringer.id, scene.machines[number % 3].id
        job.started_at, job.expected_end_at = started, started + timedelta(minutes=24)
        _change(session, job, started, stringer.name, "on_machine")
        if state != "on_machine":
            job.finished_at = scene.now - timedelta(minutes=strung_ago)
            _change(session, job, job.finished_at, stringer.name, "strung")
            _charge(session, job)
    if state == "handed_over":
        _change(session, job, job.finished_at + timedelta(minutes=9), "desk", "handed_over", "to the player")


def _change(session: Session, job: Job, at: datetime, by: str, to_state: str, note: str = "") -> None:
    before = job.state if job.changes or to_state != "waiting" else ""
    session.add(StateChange(job_id=job.id, at=at, by=by, from_state=before, to_state=to_state, note=note))
    job.state = to_state
    session.flush()


def _charge(session: Session, job: Job) -> None:
    lines = (("labour", "Stringing", 1800, 600, 102), ("string", "String Tarn Poly 1.25", 1250, 2300, 234))
    for kind, text, minor, rate, tax in lines:
        session.add(
            Charge(
                event_id=job.event_id,
                player_id=job.player_id,
                job_id=job.id,
                kind=kind,
                text=text,
                amount_minor=minor,
                tax_minor=tax,
                tax_basis_points=rate,
                currency="EUR",
                at=job.finished_at,
                by="bench",
            )
        )
