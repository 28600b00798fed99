"""A day in mid-action, to look at: every state, a hybrid, a worn frame, long names, a plan in force.

Every name and number is invented.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from desk.models import (
    Assignment,
    Calibration,
    Contact,
    Event,
    Job,
    LogEntry,
    Machine,
    MachineCare,
    MachineCheck,
    PlanRun,
    Player,
    Stringer,
)
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.machines.check_list import begin_list
from desk.services.money.charges import add_charge
from desk.services.money.invoices import make_invoice
from desk.services.money.payers import PayRuleForm, add_pay_rule, let_pay
from desk.trade.event.names import search_name
from tests import make
from tests.web.scenes.scene_jobs import fill_jobs
from tests.web.scenes.scene_word import fill_word

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
    scene.jobs = fill_jobs(session, scene)
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
