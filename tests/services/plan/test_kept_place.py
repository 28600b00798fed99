"""A place that a hand gave a racquet: it holds over later plans until what it hangs on is started or moved."""

import json
from collections.abc import Iterator
from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job, LogEntry, Stringer
from desk.models.database import Database
from desk.queries.plan.kept_order import bench_order
from desk.queries.plan.plan_board import plan_board
from desk.queries.promise.quotes import Wanted, quote_jobs
from desk.services.bench import jobs
from desk.services.plan import hand_moves
from desk.services.plan.plan_runs import store_plan
from desk.services.plan.planning import Effort, read_moment, solve
from tests import make
from tests.services.small_desk import small_desk
from tests.solver.outside import checker, needs_shared

AT = make.moment("Mon 12:00")


class Room:
    """A bench with four racquets for it, wanted one after the other; the plan strings them in that order."""

    def __init__(self, session: Session) -> None:
        self.session, self.desk = session, small_desk(session)
        self.event, (self.anna, self.ben) = self.desk.event, self.desk.stringers
        self.jobs = [self.racquet(20 * number + 25) for number in range(4)]
        self.plan()

    def racquet(self, within_min: int, **over: object) -> Job:
        """Return a racquet of a new player, wanted in so many minutes, that Anna is to string."""
        needed_at = AT + timedelta(minutes=within_min)
        usual = {"needed_by_kind": "time", "needed_by_at": needed_at, "latest_at": needed_at}
        pin = {"pinned_stringer_id": self.anna.id}
        return make.make_job(self.session, make.make_player(self.session, self.event), **(usual | pin | over))

    def plan(self, minutes: int = 0) -> None:
        at = AT + timedelta(minutes=minutes)
        moment = read_moment(self.session, self.event.id, at)
        plan, reasons = solve(moment, Effort(seconds=5, steps=400))
        store_plan(self.session, self.event.id, moment, plan, reasons, at=at)

    def order(self) -> list[int]:
        """Return the racquets of Anna's bench in the order of the plan, by their numbers from 0."""
        found = bench_order(self.session, self.event, self.anna.id)
        return [self.jobs.index(self.session.get_one(Job, one.job_id)) for one in found]

    def put(self, number: int, after: int | None, stringer: Stringer | None = None) -> None:
        """Let a hand put a racquet right after another, or before all."""
        after_id = 0 if after is None else self.jobs[after].id
        move = hand_moves.HandMove(stringer_id=(stringer or self.anna).id, after_id=after_id)
        hand_moves.pin_job(self.session, self.event.id, self.jobs[number].id, move, acting=make.acting())

    def kept(self) -> dict[int, str]:
        """Return what the board says of kept places."""
        row = plan_board(self.session, self.event, AT).rows[0]
        return {self.jobs.index(self.session.get_one(Job, b.job_id)): b.kept for b in row.blocks if b.kept}

    def start(self, number: int) -> None:
        bench = {"stringer_id": self.anna.id, "machine_id": self.desk.machines[0].id}
        jobs.start_job(self.session, self.event.id, self.jobs[number].id, acting=make.acting(), **bench)


@pytest.fixture
def room(any_database: Database) -> Iterator[Room]:
    with any_database.writing() as session:
        yield Room(session)


def test_a_place_holds_after_a_new_racquet_and_another_plan(room: Room) -> None:
    assert room.order() == [0, 1, 2, 3]
    room.put(0, after=2)
    room.jobs.append(room.racquet(30))
    room.plan()
    found = room.order()
    assert sorted(found) == [0, 1, 2, 3, 4]
    assert found.index(3) > found.index(0) > max(found.index(1), found.index(2))
    assert room.kept() == {0: f"{found.index(0) + 1}{'rd' if found.index(0) == 2 else 'th'}, after {_code_ahead(room)}"}


def _code_ahead(room: Room) -> str:
    found = room.order()
    ahead = [number for number in found[: found.index(0)] if number in (1, 2)]
    return room.jobs[ahead[-1]].code


def test_what_is_next_stays_before_a_newcomer_but_not_before_one_from_the_court(room: Room) -> None:
    room.put(3, after=None)
    room.jobs.append(room.racquet(15))
    room.plan()
    assert room.order()[0] == 3
    assert room.kept() == {3: "next"}
    room.jobs.append(room.racquet(15, on_court=True, weight=20, dropped_at=AT))
    room.plan()
    assert room.order()[:2] == [5, 3]


def test_a_place_ends_when_what_it_hangs_on_is_started(room: Room) -> None:
    room.put(0, after=1)
    room.plan()
    assert room.order()[:2] == [1, 0]
    room.start(1)
    room.plan(1)
    assert room.order()[0] == 0
    assert room.kept() == {0: f"1st, before {room.jobs[2].code}"}


def test_a_place_ends_when_what_it_hangs_on_is_moved(room: Room) -> None:
    room.put(0, after=1)
    move = hand_moves.HandMove(stringer_id=room.ben.id)
    hand_moves.pin_job(room.session, room.event.id, room.jobs[1].id, move, acting=make.acting())
    assert room.jobs[0].kept_place == {
        "ahead": [],
        "behind": [room.jobs[2].serial, room.jobs[3].serial],
        "is_next": False,
    }


def test_a_move_taken_back_leaves_the_place_to_the_plan(room: Room) -> None:
    room.put(0, after=2)
    room.put(1, after=3)
    hand_moves.unpin_job(room.session, room.event.id, room.jobs[0].id, acting=make.acting())
    assert room.jobs[0].kept_place is None
    assert room.jobs[0].serial not in room.jobs[1].kept_place["ahead"]
    room.jobs[0].pinned_stringer_id = room.anna.id
    room.plan()
    assert room.order()[0] == 0


def test_a_place_is_judged_before_it_is_kept(room: Room) -> None:
    move = hand_moves.HandMove(stringer_id=room.anna.id, after_id=0)
    judged = hand_moves.judge_move(room.session, room.event.id, room.jobs[3].id, move, at=AT)
    assert (judged.turn_before, judged.turn_after) == (4, 1)
    assert room.jobs[0].code in [change.racquet.code for change in judged.comparison.worse]
    assert room.jobs[3].kept_place is None


def test_a_place_after_what_waits_elsewhere_is_refused(room: Room) -> None:
    with pytest.raises(Conflict, match=r"does not wait for Stringer 2 any more\. Choose the place anew\."):
        room.put(0, after=1, stringer=room.ben)
    assert room.jobs[0].kept_place is None


def test_a_kept_place_is_written_to_the_log(room: Room) -> None:
    room.put(0, after=2)
    room.put(3, after=None)
    texts = room.session.scalars(select(LogEntry.text).where(LogEntry.subject == "plan").order_by(LogEntry.id)).all()
    codes = [job.code for job in room.jobs]
    assert texts == [f"{codes[0]} pinned to Stringer 1, after {codes[2]}", f"{codes[3]} pinned to Stringer 1, next"]


def test_a_newcomer_is_quoted_behind_what_is_next(room: Room) -> None:
    wanted = Wanted(
        player_code="new",
        house_minutes=22,
        ready_from_at=AT,
        needed_by_at=AT + timedelta(minutes=23),
        weight=10,
        stringer_id=room.anna.id,
    )
    (before,) = quote_jobs(room.session, room.event, [wanted], AT)
    room.put(3, after=None)
    room.plan()
    (behind,) = quote_jobs(room.session, room.event, [wanted], AT)
    assert (before.late_minutes, behind.late_minutes) == (0, 21)


@needs_shared
@pytest.mark.outside
def test_the_independent_checker_accepts_a_plan_with_kept_places(room: Room) -> None:
    """Source: `check_plan.py`, which lies beside the repository and knows nothing of kept places."""
    room.put(0, after=2)
    room.put(3, after=None)
    moment = read_moment(room.session, room.event.id, AT)
    plan, _ = solve(moment, Effort(seconds=5, steps=400))
    data = json.loads(json.dumps(moment.workload.to_dict()))
    assert [job["after"] for job in data["jobs"] if "after" in job]
    assert list(checker().breaches(data, plan.to_dict())) == []
    assert checker().score(data, plan.to_dict())["total"] == plan.total
