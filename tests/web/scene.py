"""A day in mid-action, to look at: every state, a hybrid, a worn frame, long names, a plan in force.

Every name and number is invented.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal

from sqlalchemy.orm import Session

from desk.models import (
    Assignment,
    Calibration,
    Charge,
    Contact,
    Event,
    Job,
    LogEntry,
    Machine,
    MachineCare,
    MachineCheck,
    PlanRun,
    Player,
    Promise,
    Reel,
    ReelEntry,
    StateChange,
    Stringer,
)
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.machines.check_list import begin_list
from desk.services.money.charges import add_charge
from desk.services.money.invoices import make_invoice
from desk.services.money.payers import PayRuleForm, add_pay_rule, let_pay
from desk.trade.bench.tag_code import make_code
from desk.trade.event.names import search_name
from tests import make
from tests.web.scene_word import fill_word

NOW = "Mon 12:43"
PLAYERS = (
    "Ilka Torvane-Mees",
    "Bo Arnqvist",
    "Maximiliano Alejandro Etxeberria-Goikoetxea",
    "Ya Lim",
    "Oksana Petrichenko",
    "Tomás Reiterer",
    "Ngozi Adeyemi-Walsh",
    "Pia Kjeldgaard",
)
STRINGERS = ("Jana Hollweg", "Rui Castanheira", "Mette Aabel", "Dov Lindauer")
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


@dataclass
class Scene:
    """What was made, by what a test wants to find again."""

    event: Event
    now: datetime
    players: list[Player] = field(default_factory=list)
    stringers: list[Stringer] = field(default_factory=list)
    machines: list[Machine] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    contacts: list[Contact] = field(default_factory=list)

    def in_state(self, state: str) -> list[Job]:
        return [job for job in self.jobs if job.state == state]


def fill(session: Session, event: Event) -> Scene:
    """Fill EVENT with a day at 12:43 and return what was made."""
    event.name, event.town, event.desk_place = "Thornfield Open", "Thornfield", "Hall B, behind court 3"
    make.set_clock(event, NOW)
    scene = Scene(event, make.moment(NOW))
    for name in PLAYERS:
        scene.players.append(make.make_player(session, event, name=name, search_name=search_name(name)))
    for number, name in enumerate(STRINGERS, start=1):
        machine = make.make_machine(session, event, code=f"B{number}", name=f"Bench {number}")
        scene.machines.append(machine)
        scene.stringers.append(make.make_stringer(session, event, name=name, home_machine_id=machine.id))
    strings = _strings(session, event)
    frames = [
        make.make_frame(session, event, name="Meadow 98"),
        make.make_frame(session, event, name="Harrow 100 Tour", mains=18, crosses=20, head_sq_in=100.0),
    ]
    for number, row in enumerate(DAY, start=1):
        scene.jobs.append(_job(session, scene, number, row, strings, frames))
    _plan(session, scene)
    _say(session, scene)
    _invoice(session, scene)
    _contacts(session, scene)
    fill_word(session, scene)
    _log(session, scene)
    session.flush()
    return scene


def fill_calibrated(session: Session, event: Event) -> Scene:
    """Fill EVENT with the scene, every machine calibrated this morning."""
    filled = fill(session, event)
    calibrate(session, filled.machines)
    return filled


def calibrate(session: Session, machines: Iterable[Machine]) -> None:
    """Note this morning's calibration of the machines, at two tensions."""
    same = {"at": make.moment("Mon 07:40"), "by": "lead", "unit": "lb", "tolerance_lb": 1.0, "passed": True}
    for machine in machines:
        session.add_all(Calibration(machine_id=machine.id, reference=lb, reading=lb, **same) for lb in (50, 60))


def fill_checks(session: Session, filled: Scene) -> None:
    """Give the machines their checks: one is due on three of them, and one was done this morning and taken back."""
    begin_list(session, filled.event)
    clean = MachineCheck(event_id=filled.event.id, name="Clean clamps", every_racquets=1, note="No racquet on it.")
    session.add(clean)
    session.flush()
    at = {"check_id": clean.id, "by": "lead", "at": make.moment("Mon 08:05")}
    bench = filled.machines[0].id
    session.add(MachineCare(machine_id=bench, **at, note="worn, new jaws ordered"))
    session.add(MachineCare(machine_id=bench, **at, undone_at=filled.now, undone_by="desk"))


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


def _contacts(session: Session, scene: Scene) -> None:
    """A coach of four players, one of whom is not at the desk, and a federation that pays a grip for one of two."""
    event, (ilka, bo, maximiliano, _, oksana, *_rest, pia) = scene.event, scene.players
    coach = make.make_contact(
        session, event, bo, maximiliano, oksana, ilka, name="Rosalind Achterberg", phone="+44 20 7946 0123"
    )
    federation = make.make_contact(session, event, bo, pia, name="Tennis Federation of Port Almery", kind="federation")
    acting = Acting(by="lead", at=scene.now)
    add_pay_rule(session, event.id, PayRuleForm(payer_id=federation.id, covers=("labour",)), acting=acting)
    grip = add_charge(session, event.id, pia.id, 700, acting=acting, text="Grip")
    let_pay(session, event.id, [grip.id], federation.id, acting=acting)
    scene.contacts += [coach, federation]


def _invoice(session: Session, scene: Scene) -> None:
    player = scene.in_state("strung")[0].player
    payer = f"{player.name}\nWillow Lane 12\n4021 Port Almery"
    make_invoice(session, scene.event.id, Holder.of(player), payer=payer, acting=Acting(by="desk", at=scene.now))


def _plan(session: Session, scene: Scene) -> None:
    event = scene.event
    run = PlanRun(
        event_id=event.id, made_at=scene.now, change_number=event.change_number, status="feasible", total=1200,
        bound=900, seconds=0.4, costs={}, unplaced=[], reasons={},
    )  # fmt: skip
    session.add(run)
    session.flush()
    event.current_run_id, event.planned_change_number = run.id, event.change_number
    free_at = [scene.now + timedelta(minutes=minutes) for minutes in (21, 9, 10, 0)]
    for turn, job in enumerate(scene.in_state("waiting")):
        lane = (turn + 1) % 4
        start = free_at[lane]
        free_at[lane] = start + timedelta(minutes=22)
        session.add(
            Assignment(
                run_id=run.id,
                job_id=job.id,
                stringer_id=scene.stringers[lane].id,
                machine_id=scene.machines[lane].id,
                start_at=start,
                end_at=free_at[lane],
            )
        )


def _say(session: Session, scene: Scene) -> None:
    """Whose two players are, and which of a player's racquets matters and which follows to the court."""
    scene.players[7].own_stringer_id = scene.stringers[0].id
    scene.players[2].first_stringer_id = scene.stringers[3].id
    scene.in_state("waiting")[3].matters, scene.in_state("waiting")[4].matters = "first", "later"


def _log(session: Session, scene: Scene) -> None:
    for job in scene.jobs:
        session.refresh(job, ["changes"])
        for change in job.changes:
            text = f"{job.code} {change.to_state.replace('_', ' ')}{': ' + change.note if change.note else ''}"
            session.add(
                LogEntry(event_id=scene.event.id, at=change.at, by=change.by, subject="jobs", text=text, job_id=job.id)
            )
