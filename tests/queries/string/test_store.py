"""What the store shows: reels with their sums, what runs out, and what to order."""

from dataclasses import dataclass, field
from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, Match, PlanRun, Player, Reel, ReelEntry, Stringer, StringType
from desk.models.database import Database
from desk.queries.play.matches_to_come import matches_to_come
from desk.queries.string.foresight import foresee, string_missing
from desk.queries.string.lengths import metres_by_job
from desk.queries.string.orders import order_rows
from desk.queries.string.store import entry_rows, reel_rows
from desk.services.string import store, string_use
from tests import make
from tests.make import acting, moment
from tests.statements import statements_after

# 98 sq in, 16 mains by 19 crosses, as the factories make it.
BED_M = 11.21


@dataclass
class Desk:
    """An event with a plan in force, one string and a reel of it."""

    session: Session
    event: Event
    string: StringType
    reel: Reel
    run: PlanRun
    stringer: Stringer
    machine: Machine
    players: list[Player] = field(default_factory=list)

    def planned(self, at: str | None, *, player: Player | None = None, **over: object) -> Job:
        job = make.make_job(self.session, player or self.players[0], **over)
        if at is not None:
            start = moment(at)
            place = {"stringer_id": self.stringer.id, "machine_id": self.machine.id}
            times = {"start_at": start, "end_at": start + timedelta(minutes=22)}
            self.session.add(Assignment(run_id=self.run.id, job_id=job.id, **place, **times))
            self.session.flush()
        return job


def set_up(session: Session, *, metres: float = 200.0, days: int = 3) -> Desk:
    event = make.make_event(session, days=days)
    string = make.make_string(session, event)
    reel = make.make_reel(session, string, metres=metres, code="R1")
    run = PlanRun(
        event_id=event.id,
        made_at=moment("Mon 09:00"),
        change_number=1,
        status="feasible",
        total=0,
        bound=0,
        seconds=0.1,
        costs={},
        unplaced=[],
    )
    session.add(run)
    session.flush()
    event.current_run_id = run.id
    stringer, machine = make.make_stringer(session, event), make.make_machine(session, event)
    return Desk(session, event, string, reel, run, stringer, machine, [make.make_player(session, event)])


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield set_up(session)


def test_a_reel_that_runs_out_says_when_and_which_racquet_cannot_be_strung(any_session: Session) -> None:
    desk = set_up(any_session, metres=24)
    # Planned in another order than they came.
    last, first, second = (desk.planned(at) for at in ("Mon 15:00", "Mon 13:00", "Mon 14:00"))
    found = foresee(any_session, desk.event)
    (reel,) = found.reels
    assert (reel.racquets, reel.runs_out, reel.runs_out_at, reel.runs_out_with) == (
        2, True, moment("Mon 14:00"), second.code,
    )  # fmt: skip
    assert reel.planned_m == pytest.approx(2 * BED_M, abs=0.05)
    assert reel.left_after_m == pytest.approx(24 - 2 * BED_M, abs=0.05)
    (cannot,) = found.cannot_string
    assert (cannot.job_code, cannot.planned_at) == (last.code, moment("Mon 15:00"))
    assert cannot.reason.startswith(f"{last.code} cannot be strung: its ")
    assert first.code not in cannot.reason


def test_a_reel_that_lasts_does_not_run_out(desk: Desk) -> None:
    desk.planned("Mon 13:00")
    found = foresee(desk.session, desk.event)
    assert [(reel.runs_out, reel.runs_out_at) for reel in found.reels] == [(False, None)]
    assert found.cannot_string == ()


def test_what_is_on_the_machine_takes_its_string_first(session: Session) -> None:
    desk = set_up(session, metres=12)
    waiting = desk.planned("Mon 13:00")
    desk.planned(None, state="on_machine", started_at=moment("Mon 12:50"), machine_id=desk.machine.id)
    assert [one.job_code for one in foresee(session, desk.event).cannot_string] == [waiting.code]


def test_a_racquet_without_a_place_in_the_plan_is_foreseen_too(session: Session) -> None:
    desk = set_up(session, metres=5)
    job = desk.planned(None)
    (cannot,) = foresee(session, desk.event).cannot_string
    assert (cannot.job_code, cannot.planned_at) == (job.code, None)


def test_a_racquet_held_for_string_can_be_released_when_string_has_come(session: Session) -> None:
    desk = set_up(session, metres=5)
    held = desk.planned(None)
    asked = [(held.card, held.racquet.frame)]
    (reason,) = string_missing(session, desk.event, asked)
    assert reason is not None
    held.state, held.held_reason = "held", reason
    desk.planned(None, state="held", held_reason="cracked")
    assert foresee(session, desk.event).can_be_released == ()
    session.add(ReelEntry(reel_id=desk.reel.id, at=moment("Mon 12:00"), by="desk", kind="received", metres=60))
    session.flush()
    assert [one.job_code for one in foresee(session, desk.event).can_be_released] == [held.code]


def test_the_assignments_of_an_old_plan_count_for_nothing(desk: Desk) -> None:
    desk.planned("Mon 13:00")
    desk.event.current_run_id = None
    (reel,) = foresee(desk.session, desk.event).reels
    assert (reel.racquets, reel.runs_out_at) == (1, None)


def test_foresight_takes_a_fixed_number_of_statements(desk: Desk) -> None:
    def more() -> None:
        desk.planned("Mon 13:00", player=make.make_player(desk.session, desk.event))
        make.make_reel(desk.session, desk.string)

    assert statements_after(desk.session, more, lambda: foresee(desk.session, desk.event)) == [[6], [6]]


def test_reels_take_a_fixed_number_of_statements(desk: Desk) -> None:
    def more() -> None:
        player = make.make_player(desk.session, desk.event)
        make.make_reel(desk.session, make.make_string(desk.session, desk.event), owner_id=player.id)

    assert statements_after(
        desk.session,
        more,
        lambda: reel_rows(desk.session, desk.event),
        lambda: (entry_rows(desk.session, desk.reel.id), metres_by_job(desk.session, desk.event)),
    ) == [[2, 2], [2, 2]]


def test_the_reels_of_a_day_open_with_what_was_left_before(any_session: Session) -> None:
    desk = set_up(any_session)
    for at, metres in (("Mon 12:00", 10), ("Tue 12:00", 20), ("Wed 12:00", 30)):
        store.waste(any_session, desk.event.id, desk.reel.id, metres, acting=acting(at))
    (row,) = reel_rows(any_session, desk.event, from_at=moment("Tue 00:00"), to_at=moment("Wed 00:00"))
    assert (row.opening_m, row.waste_m, row.left_m) == (190, 20, 170)


def test_what_waits_is_needed(desk: Desk) -> None:
    for _ in range(20):
        desk.planned(None)
    store.correct_reel(desk.session, desk.event.id, desk.reel.id, 100, acting=acting(), note="measured")
    day = desk.event.days[-1]
    make.make_match(desk.session, make.make_court(desk.session, desk.event), day=day, players=(desk.players[0], None))
    (row,) = order_rows(desk.session, desk.event, moment("Wed 12:00"))
    assert row.waiting_m == pytest.approx(20 * BED_M, abs=1)
    # Twenty beds are some 224 m, 100 m are there, a reel has 200 m; the one match to come is what they wait for.
    assert (row.need_m, row.order, row.note) == (row.waiting_m, 1, "1 reel of 200 m")
    assert row.runs_out_on == day.date


def test_players_still_in_take_again_what_they_took_a_match(any_session: Session) -> None:
    desk = set_up(any_session)
    player = desk.players[0]
    job = desk.planned(None, state="handed_over", dropped_at=moment("Mon 08:30"))
    string_use.use_for_job(any_session, desk.event, job, acting=acting(), used=make.cut(6, 5))
    court = make.make_court(any_session, desk.event)
    make.make_match(any_session, court, day=desk.event.days[0], players=(player, None))
    (row,) = order_rows(any_session, desk.event, moment("Mon 12:00"))
    # In today's match, then half on Tuesday and a quarter on Wednesday: 0.75 matches beyond it, 11 m each.
    assert (row.waiting_m, row.need_m) == (0, 8.2)
    assert (row.order, row.runs_out_on, row.use_per_day_m) == (0, None, 11)


def test_a_player_who_is_out_needs_nothing_more(desk: Desk) -> None:
    player = desk.players[0]
    job = desk.planned(None, state="handed_over", dropped_at=moment("Mon 08:30"))
    string_use.use_for_job(desk.session, desk.event, job, acting=acting(), used=make.cut(6, 5))
    over = {"state": "finished", "started_at": moment("Mon 10:00"), "ended_at": moment("Mon 12:00")}
    court = make.make_court(desk.session, desk.event)
    make.make_match(desk.session, court, day=desk.event.days[0], players=(player, None), **over)
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    assert row.need_m == 0


def test_without_an_order_of_play_players_go_on_by_the_day(desk: Desk) -> None:
    job = desk.planned(None, state="handed_over", dropped_at=moment("Mon 08:30"))
    string_use.use_for_job(desk.session, desk.event, job, acting=acting(), used=make.cut(6, 5))
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    # 11 m on the first day, two days to come.
    assert row.need_m == 22


def test_the_day_on_which_string_runs_out_follows_the_pace(session: Session) -> None:
    desk = set_up(session, metres=211, days=5)
    job = desk.planned(None, state="handed_over", dropped_at=moment("Mon 08:30"))
    string_use.use_for_job(session, desk.event, job, acting=acting(), used=make.cut(6, 5))
    store.correct_reel(session, desk.event.id, desk.reel.id, 25, acting=acting(), note="measured")
    (row,) = order_rows(session, desk.event, moment("Mon 13:00"))
    # 11 m a day from Tuesday: 25 m last for Tuesday and Wednesday and run out on Thursday.
    assert (row.need_m, row.runs_out_on, row.order) == (44, desk.event.days[3].date, 1)


def test_own_string_is_not_ordered(desk: Desk) -> None:
    job = desk.planned(None, state="handed_over", card={"own_mains": True, "own_crosses": True})
    string_use.use_for_job(desk.session, desk.event, job, acting=acting(), used=make.cut(6, 5))
    desk.planned(None, card={"own_mains": True, "own_crosses": True})
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    assert (row.need_m, row.on_hand_m, row.use_per_day_m) == (0, 200, 0)


def test_orders_take_a_fixed_number_of_statements(desk: Desk) -> None:
    court = make.make_court(desk.session, desk.event)

    def more() -> None:
        player = make.make_player(desk.session, desk.event)
        desk.planned(None, player=player)
        make.make_string(desk.session, desk.event)
        make.make_match(desk.session, court, day=desk.event.days[0], players=(player, None))

    asked = statements_after(desk.session, more, lambda: order_rows(desk.session, desk.event, moment("Mon 13:00")))
    assert asked == [[11], [11]]


def expected(desk: Desk, player: Player) -> float:
    return matches_to_come(desk.session, desk.event)[player.id].expected


def test_the_winner_of_a_match_goes_on_with_half_a_chance(desk: Desk) -> None:
    a, b = (make.make_player(desk.session, desk.event) for _ in range(2))
    court = make.make_court(desk.session, desk.event)
    semi = make.make_match(desk.session, court, day=desk.event.days[1], players=(a, b))
    make.make_match(desk.session, court, day=desk.event.days[2], players=(semi, None))
    assert expected(desk, a) == 1.5


def test_a_match_that_feeds_itself_ends_nowhere(desk: Desk) -> None:
    player = desk.players[0]
    court = make.make_court(desk.session, desk.event)
    one: Match = make.make_match(desk.session, court, day=desk.event.days[2], players=(player, None))
    two = make.make_match(desk.session, court, day=desk.event.days[2], players=(one, None))
    one.sides[1].winner_of_id = two.id
    desk.session.flush()
    assert expected(desk, player) == 1.0


def test_the_foresight_of_a_small_store_is_as_reckoned_by_hand(any_session: Session) -> None:
    desk = set_up(any_session, metres=24)
    one, _, three, four = (desk.planned(f"Mon {hour}:00") for hour in (13, 14, 15, 16))
    make.make_reel(any_session, desk.string, metres=15, code="R2")
    found = foresee(any_session, desk.event)
    # A bed is 5.86 + 5.35 = 11.21 m. The shortest reel that suffices goes first: 15 m give one bed and
    # 3.79 m are left; 24 m give the second and the third and 1.58 m are left; for the fourth nothing is enough.
    assert {
        (reel.code, reel.racquets, reel.left_after_m, reel.runs_out_at, reel.runs_out_with, reel.then)
        for reel in found.reels
    } == {
        ("R2", 1, 3.79, moment("Mon 13:00"), one.code, "R1"),
        ("R1", 2, 1.58, moment("Mon 15:00"), three.code, ""),
    }
    (cannot,) = found.cannot_string
    assert (cannot.job_code, cannot.planned_at) == (four.code, moment("Mon 16:00"))
    assert (cannot.part, cannot.need_m, cannot.longest_m) == ("mains", 5.86, 3.79)


def test_the_order_for_the_rest_of_the_event_is_as_reckoned_by_hand(any_database: Database) -> None:
    with any_database.writing() as session:
        desk = set_up(session, metres=60)
        winner, loser, resting, tuesday = (make.make_player(session, desk.event) for _ in range(4))
        for player, racquets in ((winner, 2), (loser, 1)):
            for _ in range(racquets):
                job = desk.planned(None, player=player, state="handed_over", dropped_at=moment("Mon 08:30"))
                string_use.use_for_job(session, desk.event, job, acting=acting(), used=make.cut(6, 5))
        desk.planned(None, player=tuesday, dropped_at=moment("Mon 13:00"))
        first, second, third = desk.event.days
        court = make.make_court(session, desk.event)
        played = {"state": "finished", "started_at": moment("Mon 10:00"), "ended_at": moment("Mon 12:00")}
        make.make_match(session, court, day=first, players=(winner, loser), winner_side=1, **played)
        semi = make.make_match(session, court, day=second, players=(winner, resting))
        make.make_match(session, court, day=second, players=(tuesday, None))
        make.make_match(session, court, day=third, players=(semi, None))
        (row,) = order_rows(session, desk.event, moment("Mon 14:00"))
    # Three measured racquets beside five as the model has them: mains 5.86 x (5 + 3 x 6 / 5.856) / 8 = 5.91 m,
    # crosses 5.35 x (5 + 3 x 5 / 5.346) / 8 = 5.22 m. One racquet waits: 11.13 m. The winner took 22 m for one
    # match and plays the semi-final and, half the time, the final: 1.5 x 22 = 33 m. The one of Tuesday takes
    # 11.13 m for that match and half as much again for Wednesday's: 5.57 m. The loser takes nothing more, nor does
    # the one who never came. 49.7 m in all, and 27 m are left.
    assert (row.waiting_m, row.need_m, row.on_hand_m) == (11.1, 49.7, 27)
    assert (row.order, row.note) == (1, "1 reel of 60 m")
