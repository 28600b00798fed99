"""A small desk at 14:00 for what must be watched: two calibrated benches, one reel that runs out at 15:00.

Every name and number is invented.
"""

from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Machine, PlanRun, Player, Racquet, Reel, Stringer
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.counter import drop_offs
from desk.services.machines import calibrating
from desk.services.plan.planning import Effort, plan_event
from desk.trade.drop_off_forms import CardForm, DropOffForm, RacquetForm
from desk.trade.event.names import search_name
from desk.trade.racquet.bed import HalfCard, StringBed
from tests import make
from tests.web.scenes.scene import Scene

NOW = "Mon 14:00"
# Four racquets of 98 sq in, 16 by 19, take 4 x 11.21 m; 1.2 m are left then, not enough for a fifth.
REEL_M = 46.0
PLAYERS = ("Odile Varga-Stern", "Kimo Ballestre", "Runa Falk")


@dataclass(frozen=True)
class Watched:
    """The desk with its records, planned again after each step as the planner does."""

    database: Database
    event_id: int

    def plan(self) -> None:
        """Plan as the planner does, with so many steps that the plan is the same each time."""
        plan_event(self.database, self.event_id, at=make.moment(NOW), effort=Effort(steps=300))

    def jobs(self) -> list[Job]:
        with self.database.reading() as session:
            return list(session.scalars(select(Job).order_by(Job.serial)))

    def row(self, machine_id: int) -> int:
        """Count the racquets that the plan in force gives to a machine."""
        with self.database.reading() as session:
            run = session.get_one(PlanRun, session.get_one(Event, self.event_id).current_run_id)
            return sum(one.machine_id == machine_id for one in run.assignments)


def fill(session: Session) -> Scene:
    """Fill a new event with the desk; the first player's four racquets are promised."""
    event = make.make_event(session, name="Thornfield Open", town="Thornfield")
    make.set_clock(event, NOW)
    scene = Scene(event, make.moment(NOW))
    poly = make.make_string(session, event, name="Tarn Poly", gauge_mm=1.25, colour="slate")
    gut = make.make_string(session, event, name="Fell Gut", gauge_mm=1.3, material="natural_gut")
    make.make_reel(session, poly, metres=REEL_M, code="POLY-1", place="Shelf A")
    make.make_reel(session, gut, metres=200.0, code="GUT-1", place="Shelf B")
    make.make_price(session, event, "labour", 2000)
    make.make_price(session, event, "string", 1500, per="set")
    frame = make.make_frame(session, event, name="Meadow 98")
    for number, name in enumerate(("Bench 1", "Bench 2"), start=1):
        machine = make.make_machine(session, event, code=f"B{number}", name=name)
        calibrate(session, event, machine)
        scene.machines.append(machine)
    scene.stringers.append(
        make.make_stringer(session, event, name="Jana Hollweg", home_machine_id=scene.machines[0].id)
    )
    for name in PLAYERS:
        player = make.make_player(session, event, name=name, search_name=search_name(name))
        scene.players.append(player)
        for _ in range(4):
            make.make_racquet(session, player, frame=frame)
    return scene


def calibrate(session: Session, event: Event, machine: Machine) -> None:
    read = [calibrating.Reading(reference=Decimal(kilos), reading=Decimal(kilos), unit="kg") for kilos in ("20", "25")]
    calibrating.calibrate(session, event.id, machine.id, read, acting=make.acting("Mon 08:00"))


TENSIONS = (("mains", "52.5"), ("crosses", "50.5"))


def drop_off(session: Session, player: Player, numbers: tuple[int, ...]) -> list[Job]:
    """Take racquets of a player in at the counter, with the polyester."""
    reel = session.scalars(select(Reel).where(Reel.code == "POLY-1")).one()
    usual = {"string_id": reel.string_type_id, "unit": "lb"}
    halves = {half: HalfCard(tension=Decimal(tension), **usual) for half, tension in TENSIONS}
    asked = CardForm(bed=StringBed(**halves))
    owned = session.scalars(select(Racquet).where(Racquet.player_id == player.id))
    racquets = {one.number: one.id for one in owned}
    forms = [RacquetForm(racquet_id=racquets[number], card=asked, needed_by_kind="none") for number in numbers]
    visits = session.scalar(select(func.count()).select_from(Job))
    form = DropOffForm(player_id=player.id, racquets=forms, request_key=f"visit after {visits}")
    return list(drop_offs.take_drop_off(session, player.event_id, form, acting=make.acting(NOW)).jobs)


def string_one(session: Session, job: Job, stringer: Stringer, *, start: str, stiffness: float) -> None:
    """String a racquet at its stringer's bench in 22 minutes."""
    begun = make.acting(start, by=stringer.name)
    done = replace(begun, at=begun.at + timedelta(minutes=22))
    place = {"stringer_id": stringer.id, "machine_id": stringer.home_machine_id}
    jobs.start_job(session, job.event_id, job.id, acting=begun, **place)
    finish = jobs.Finish(checks=tuple(jobs.BENCH_CHECKS), stiffness=stiffness)
    jobs.finish_job(session, job.event_id, job.id, finish, acting=done)
