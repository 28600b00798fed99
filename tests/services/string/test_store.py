"""The string store: waste, corrections, and entries that balance in any order."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Job, Reel, ReelEntry
from desk.models.database import Database
from desk.services.string import store, string_use
from tests import make
from tests.services.string.reel_desk import ReelDesk, reel_desk


def test_a_dropped_reel_goes_as_waste(desk: ReelDesk) -> None:
    store.write_off(desk.session, desk.event.id, desk.reel.id, acting=make.acting(), note="dropped, tangled")
    row = desk.row()
    assert (row.opening_m, row.waste_m, row.left_m, row.is_open) == (200, 200, 0, False)


def test_waste_beyond_what_is_left_is_refused(desk: ReelDesk) -> None:
    with pytest.raises(Conflict, match="has 200 m left, so 201 m cannot go"):
        store.waste(desk.session, desk.event.id, desk.reel.id, 201, acting=make.acting())


def test_a_correction_needs_a_reason(desk: ReelDesk) -> None:
    with pytest.raises(BadInput, match="Say why"):
        store.correct_reel(desk.session, desk.event.id, desk.reel.id, 10, acting=make.acting(), note=" ")


STEP = st.tuples(
    st.sampled_from(["receive", "waste", "correct", "use", "undo"]),
    st.integers(min_value=1, max_value=2500).map(lambda centimetres: centimetres / 100),
)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, max_size=12))
def test_stock_balances_for_any_order_of_entries(database: Database, steps: list[tuple[str, float]]) -> None:
    with database.engine.connect() as connection, connection.begin() as transaction:
        desk = reel_desk(Session(connection, join_transaction_mode="create_savepoint"), metres=40)
        expected = 40.0
        booked: list[tuple[Job, float]] = []
        for what, metres in steps:
            expected += _carry_out(desk, what, metres, booked, expected)
        row = desk.row()
        sums = row.opening_m + row.received_m - row.used_m - row.waste_m + row.corrected_m
        assert row.left_m == pytest.approx(expected, abs=0.001)
        assert sums == pytest.approx(row.left_m, abs=0.001)
        assert row.left_m >= 0
        assert row.racquets == len(booked)
        desk.session.close()
        transaction.rollback()


def _carry_out(desk: ReelDesk, what: str, metres: float, booked: list[tuple[Job, float]], left: float) -> float:
    """Do one step, or see it refused where more would go than is there; return the change in metres."""
    where = (desk.session, desk.event.id, desk.reel.id)
    if what == "receive":
        store.receive(*where, metres, acting=make.acting())
        return metres
    if what == "correct":
        store.correct_reel(*where, metres, acting=make.acting(), note="measured")
        return metres - left
    if what == "undo":
        if not booked:
            return 0
        job, metres = booked.pop()
        string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
        return metres
    half = round(metres / 2, 2) or 0.01
    need = metres if what == "waste" else round(half * 2, 2)
    if need > left + 0.001:
        with pytest.raises(Conflict):
            _take(desk, what, metres, half)
        return 0
    job = _take(desk, what, metres, half)
    if job is not None:
        booked.append((job, need))
    return -need


def _take(desk: ReelDesk, what: str, metres: float, half: float) -> Job | None:
    if what == "waste":
        store.waste(desk.session, desk.event.id, desk.reel.id, metres, acting=make.acting())
        return None
    job = desk.job(card={"pieces": 1})
    desk.use(job, used=make.cut(half, half))
    return job


def test_a_write_that_fails_leaves_the_stock_as_it_was(any_database: Database) -> None:
    with any_database.writing() as session:
        reel_id = reel_desk(session).reel.id
    with pytest.raises(RuntimeError), any_database.writing() as session:
        store.waste(session, session.get_one(Reel, reel_id).event_id, reel_id, 50, acting=make.acting())
        raise RuntimeError
    with any_database.reading() as session:
        assert [entry.metres for entry in session.scalars(select(ReelEntry))] == [200]
