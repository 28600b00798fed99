"""A large desk at midday: the scene with as many stringers and racquets as are asked for; all invented."""

from datetime import datetime, timedelta
from itertools import cycle, islice

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import (
    Assignment,
    Charge,
    Event,
    Frame,
    HandOver,
    Job,
    LogEntry,
    Machine,
    Player,
    Promise,
    Reel,
    ReelEntry,
    StateChange,
    Stringer,
    StringType,
)
from desk.trade.bench.tag_code import make_code
from tests import make
from tests.web.scenes import scene
from tests.web.scenes.scene_play import fill_play

RACQUETS_A_PLAYER = 4
MIX = ("waiting",) * 9 + ("strung",) * 3 + ("handed_over",) * 6 + ("held", "cancelled")


def fill(session: Session, event: Event, *, jobs: int, stringers: int) -> scene.Scene:
    """Fill EVENT with the scene, then up to that many stringers and jobs, most of them in the plan."""
    filled = scene.fill(session, event)
    fill_play(session, filled)
    add_stringers(session, filled, stringers - len(filled.stringers))
    scene.calibrate(session, filled.machines)
    add_running(session, filled)
    add_jobs(session, event, jobs - (session.scalar(select(func.count(Job.id))) or 0))
    return filled


def midday(session: Session, event: Event) -> scene.Scene:
    """The scene with 60 racquets."""
    return fill(session, event, jobs=60, stringers=4)


def add_stringers(session: Session, filled: scene.Scene, count: int) -> None:
    for _ in range(count):
        number = len(filled.machines) + 1
        filled.machines.append(make.make_machine(session, filled.event, code=f"B{number}", name=f"Bench {number}"))
        home = filled.machines[-1].id
        name = f"Hand No. {number}"
        filled.stringers.append(make.make_stringer(session, filled.event, name=name, home_machine_id=home))


def add_running(session: Session, filled: scene.Scene) -> None:
    """Put a racquet on the machine of every stringer who has none."""
    busy = set(session.scalars(select(Job.stringer_id).where(Job.state == "on_machine")))
    for stringer in filled.stringers:
        if stringer.id not in busy:
            player = make.make_player(session, filled.event)
            started = filled.now - timedelta(minutes=8)
            job = make.make_job(session, player, state="on_machine", started_at=started)
            job.stringer_id, job.machine_id = stringer.id, stringer.home_machine_id
            job.expected_end_at = started + timedelta(minutes=24)


def add_jobs(session: Session, event: Event, count: int) -> None:
    """Add that many racquets of new players in every state, each with what its way through the desk left."""
    for number in range(count):
        if number % RACQUETS_A_PLAYER == 0:
            player = make.make_player(session, event, name=f"Guest {number + 1} of Thornfield")
        _add_job(session, event, player, MIX[number % len(MIX)], number)
    event.revision += 1
    session.flush()


def _add_job(session: Session, event: Event, player: Player, state: str, number: int) -> None:
    now, serial = make.moment(scene.NOW), 1 + (session.scalar(select(func.max(Job.serial))) or 0)
    dropped = now - timedelta(minutes=60 + number % 180)
    promised = now + timedelta(minutes=(number * 7) % 480 - 60)
    card = dict(zip(("mains_string_id", "crosses_string_id"), _pick(session, StringType, number, 2), strict=True))
    frame = session.get_one(Frame, _pick(session, Frame, number, 1)[0])
    racquet = make.make_racquet(session, player, frame=frame)
    job = make.make_job(
        session, player, racquet=racquet, card=card, serial=serial, code=make_code(90_000 + serial), state=state,
        dropped_at=dropped, needed_by_at=promised + timedelta(minutes=15), needed_by_why="plays third on Court 4",
        held_reason="waits for the owner" if state == "held" else "",
    )  # fmt: skip
    session.add(Promise(job_id=job.id, ready_at=promised, given_at=dropped, by="desk"))
    _leave_traces(session, event, job, "", "waiting", dropped)
    if state == "waiting":
        _plan(session, event, job, number)
    elif state in ("strung", "handed_over"):
        _string(session, event, job, number)
    else:
        _leave_traces(session, event, job, "waiting", state, dropped)


def _pick(session: Session, table: type, number: int, count: int) -> list[int]:
    """Return ids of COUNT rows of the table, others for each NUMBER."""
    ids = session.scalars(select(table.id).order_by(table.id)).all()
    return list(islice(cycle(ids), number % len(ids), number % len(ids) + count))


def _plan(session: Session, event: Event, job: Job, number: int) -> None:
    (stringer_id,), (machine_id,) = _pick(session, Stringer, number, 1), _pick(session, Machine, number, 1)
    turn = (session.scalar(select(func.count()).where(Assignment.stringer_id == stringer_id)) or 0) + 1
    start = make.moment(scene.NOW) + timedelta(minutes=24 * turn)
    place = {"stringer_id": stringer_id, "machine_id": machine_id, "start_at": start}
    end_at = start + timedelta(minutes=22)
    session.add(Assignment(run_id=event.current_run_id, job_id=job.id, end_at=end_at, **place))


def _string(session: Session, event: Event, job: Job, number: int) -> None:
    (stringer_id,), (machine_id,) = _pick(session, Stringer, number, 1), _pick(session, Machine, number, 1)
    finished = make.moment(scene.NOW) - timedelta(minutes=10 + number % 170)
    job.stringer_id, job.machine_id = stringer_id, machine_id
    job.started_at, job.finished_at = finished - timedelta(minutes=20 + number % 7), finished
    job.stiffness, job.checks_done = 38.0 + number % 3, "knots stencil tag tension weave"
    _leave_traces(session, event, job, "waiting", "on_machine", job.started_at)
    _leave_traces(session, event, job, "on_machine", "strung", finished)
    owed = {"event_id": event.id, "player_id": job.player_id, "job_id": job.id, "currency": event.currency}
    for kind, text, minor in (("labour", "Stringing", 1800), ("string", "String", 1250)):
        session.add(Charge(kind=kind, text=text, amount_minor=minor, at=finished, by="bench", **owed))
    (reel_id,) = _pick(session, Reel, number, 1)
    for part, metres in (("mains", -6.1), ("crosses", -5.2)):
        used = {"reel_id": reel_id, "job_id": job.id, "kind": "use", "part": part, "metres": metres}
        session.add(ReelEntry(at=finished, by="bench", **used))
        session.add(ReelEntry(reel_id=reel_id, at=finished, by="desk", kind="received", metres=-metres))
    if job.state == "handed_over":
        _hand_over(session, event, job)


def _hand_over(session: Session, event: Event, job: Job) -> None:
    at = (job.finished_at or job.dropped_at) + timedelta(minutes=9)
    given = HandOver(event_id=event.id, player_id=job.player_id, at=at, by="desk", collected_by="the player")
    session.add(given)
    session.flush()
    job.hand_over_id = given.id
    _leave_traces(session, event, job, "strung", "handed_over", at)


def _leave_traces(session: Session, event: Event, job: Job, before: str, after: str, at: datetime) -> None:
    session.add(StateChange(job_id=job.id, at=at, by="desk", from_state=before, to_state=after))
    text = f"{job.code} {after.replace('_', ' ')}"
    session.add(LogEntry(event_id=event.id, at=at, by="desk", subject="jobs", text=text, job_id=job.id))
