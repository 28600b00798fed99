"""String booked for a racquet, measured, booked back and refused."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.queries.string.lengths import event_factors, frame_length, metres_by_job, need_of
from desk.queries.string.store import entry_rows
from desk.services.string import new_reels, store, string_use
from tests import make
from tests.services.string.reel_desk import ReelDesk, reel_desk


def test_a_racquet_takes_its_computed_string(desk: ReelDesk) -> None:
    job = desk.job()
    need = need_of(job.card, job.racquet.frame, player_id=desk.player.id)
    desk.use(job)
    assert desk.row().used_m == need.total_m
    assert desk.left_m == round(200 - need.total_m, 2)


def test_a_racquet_takes_the_metres_that_were_measured(desk: ReelDesk) -> None:
    job = desk.job()
    desk.use(job, used=make.cut(6.1, 5.2))
    assert metres_by_job(desk.session, desk.event)[job.id].total_m == 11.3
    assert metres_by_job(desk.session, desk.event)[job.id].measured
    assert desk.left_m == 188.7


def test_the_string_of_a_racquet_is_booked_once(desk: ReelDesk) -> None:
    job = desk.job()
    desk.use(job)
    with pytest.raises(Conflict, match="booked already"):
        desk.use(job)


def test_string_that_is_booked_back_leaves_both_entries(any_session: Session) -> None:
    desk = reel_desk(any_session)
    job = desk.job()
    desk.use(job, used=make.cut(6.0, 5.0))
    string_use.undo_use(any_session, desk.event, job, acting=make.acting("Mon 12:05"))
    assert desk.left_m == 200
    assert [row.metres for row in entry_rows(any_session, desk.reel.id)] == [200, -6, -5, 5, 6]
    assert metres_by_job(any_session, desk.event) == {}
    assert desk.row().racquets == 0


def test_string_can_be_booked_again_after_it_was_booked_back(desk: ReelDesk) -> None:
    job = desk.job()
    desk.use(job, used=make.cut(6.0, 5.0))
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    desk.use(job, used=make.cut(6.2, 5.1))
    assert desk.left_m == 188.7


def test_a_racquet_is_measured_when_its_last_booking_was(desk: ReelDesk) -> None:
    job = desk.job()
    desk.use(job)
    assert not metres_by_job(desk.session, desk.event)[job.id].measured
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    desk.use(job, used=make.cut(6.2, 5.1))
    assert metres_by_job(desk.session, desk.event)[job.id].measured
    assert event_factors(desk.session, desk.event).n == 1


def test_measured_racquets_correct_the_computed_length(desk: ReelDesk) -> None:
    frame = make.make_frame(desk.session, desk.event)
    computed = frame_length(frame, 2)
    for _ in range(10):
        job = desk.job(racquet=make.make_racquet(desk.session, desk.player, frame=frame))
        desk.use(job, used=make.cut(round(computed.mains * 1.1, 2), round(computed.crosses * 0.9, 2)))
    factors = event_factors(desk.session, desk.event)
    assert 1.03 < factors.mains < 1.1
    assert 0.9 < factors.crosses < 0.97
    job = desk.job()
    desk.use(job)
    assert metres_by_job(desk.session, desk.event)[job.id].mains == round(computed.mains * factors.mains, 2)


def test_booking_back_twice_does_nothing(desk: ReelDesk) -> None:
    job = desk.job()
    desk.use(job)
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    assert string_use.undo_use(desk.session, desk.event, job, acting=make.acting()) == []
    assert desk.left_m == 200


def test_more_than_is_left_is_refused_with_what_to_do(desk: ReelDesk) -> None:
    short = make.make_reel(desk.session, desk.string, metres=3.2, code="R9")
    with pytest.raises(Conflict) as refused:
        desk.use(desk.job(code="J0007"), used=make.cut(6, 5, reels=(short.id, short.id)))
    assert str(refused.value) == (
        "Reel R9 has 3.2 m left, the mains and crosses of J0007 need 11 m. "
        "Measure what is left and enter a correction, receive string, or name another reel."
    )


def test_a_correction_lets_the_string_be_used(desk: ReelDesk) -> None:
    short = make.make_reel(desk.session, desk.string, metres=3.2, code="R9")
    left = store.correct_reel(
        desk.session, desk.event.id, short.id, 12.4, acting=make.acting(), note="measured on the bench"
    )
    desk.use(desk.job(), used=make.cut(6, 5, reels=(short.id, short.id)))
    assert left == 12.4
    assert desk.row("R9").left_m == 1.4
    assert desk.row("R9").corrected_m == 9.2


def test_the_rest_of_a_set_is_waste(desk: ReelDesk) -> None:
    (a_set,) = new_reels.add_reels(
        desk.session,
        desk.event.id,
        new_reels.NewReels(string_id=desk.string.id, metres=12, kind="set"),
        acting=make.acting(),
    )
    job = desk.job()
    desk.use(job, used=make.cut(6.1, 5.2))
    row = desk.row(a_set.code)
    assert (row.received_m, row.used_m, row.waste_m, row.left_m) == (12, 11.3, 0.7, 0)
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    assert desk.row(a_set.code).left_m == 12


@pytest.mark.parametrize("metres", [0, -1, 20.1])
def test_metres_that_cannot_be_are_refused(desk: ReelDesk, metres: float) -> None:
    with pytest.raises(BadInput, match="measure again"):
        desk.use(desk.job(), used=make.cut(metres))
