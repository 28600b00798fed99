"""What runs out, when, and which racquet cannot be strung then."""

import pytest
from sqlalchemy.orm import Session

from desk.models import ReelEntry
from desk.queries.string.foresight import foresee, string_missing
from tests import make
from tests.make import moment
from tests.queries.string.planned_store import BED_M, PlannedStore, planned_store
from tests.statements import statements_after


def test_a_reel_that_runs_out_says_when_and_which_racquet_cannot_be_strung(any_session: Session) -> None:
    desk = planned_store(any_session, metres=24)
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


def test_a_reel_that_lasts_does_not_run_out(desk: PlannedStore) -> None:
    desk.planned("Mon 13:00")
    found = foresee(desk.session, desk.event)
    assert [(reel.runs_out, reel.runs_out_at) for reel in found.reels] == [(False, None)]
    assert found.cannot_string == ()


def test_what_is_on_the_machine_takes_its_string_first(session: Session) -> None:
    desk = planned_store(session, metres=12)
    waiting = desk.planned("Mon 13:00")
    desk.planned(None, state="on_machine", started_at=moment("Mon 12:50"), machine_id=desk.machine.id)
    assert [one.job_code for one in foresee(session, desk.event).cannot_string] == [waiting.code]


def test_a_racquet_without_a_place_in_the_plan_is_foreseen_too(session: Session) -> None:
    desk = planned_store(session, metres=5)
    job = desk.planned(None)
    (cannot,) = foresee(session, desk.event).cannot_string
    assert (cannot.job_code, cannot.planned_at) == (job.code, None)


def test_a_racquet_held_for_string_can_be_released_when_string_has_come(session: Session) -> None:
    desk = planned_store(session, metres=5)
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


def test_the_assignments_of_an_old_plan_count_for_nothing(desk: PlannedStore) -> None:
    desk.planned("Mon 13:00")
    desk.event.current_run_id = None
    (reel,) = foresee(desk.session, desk.event).reels
    assert (reel.racquets, reel.runs_out_at) == (1, None)


def test_foresight_takes_a_fixed_number_of_statements(desk: PlannedStore) -> None:
    def more() -> None:
        desk.planned("Mon 13:00", player=make.make_player(desk.session, desk.event))
        make.make_reel(desk.session, desk.string)

    assert statements_after(desk.session, more, lambda: foresee(desk.session, desk.event)) == [[6], [6]]


def test_the_foresight_of_a_small_store_is_as_reckoned_by_hand(any_session: Session) -> None:
    desk = planned_store(any_session, metres=24)
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
