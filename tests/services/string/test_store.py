"""The string store: entries that balance, racquets that take string, and string that is missed in time."""

from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job, JobCard, Player, Reel, ReelEntry, StringType
from desk.models.database import Database
from desk.queries.string.foresight import string_missing
from desk.queries.string.lengths import event_factors, frame_length, metres_by_job, need_of
from desk.queries.string.store import entry_rows, reel_rows, sets_left
from desk.services.string import new_reels, store, string_list, string_use
from tests import make

OWN = {"own_mains": True, "own_crosses": True}


@dataclass
class Desk:
    """An event with one string, a reel of it and a player."""

    session: Session
    event: Event
    string: StringType
    reel: Reel
    player: Player

    @property
    def left_m(self) -> float:
        return self.row().left_m

    def row(self, code: str | None = None):
        code = code or self.reel.code
        return next(row for row in reel_rows(self.session, self.event) if row.code == code)

    def job(self, **over: object) -> Job:
        return make.make_job(self.session, self.player, **over)

    def use(self, job: Job, **over: object) -> list[ReelEntry]:
        return string_use.use_for_job(self.session, self.event, job, acting=make.acting(), **over)


def set_up(session: Session, *, metres: float = 200.0) -> Desk:
    event = make.make_event(session)
    string = make.make_string(session, event)
    reel = make.make_reel(session, string, metres=metres, code="R1")
    return Desk(session, event, string, reel, make.make_player(session, event))


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield set_up(session)


def test_a_racquet_takes_its_computed_string(desk: Desk) -> None:
    job = desk.job()
    need = need_of(job.card, job.racquet.frame, player_id=desk.player.id)
    desk.use(job)
    assert desk.row().used_m == need.total_m
    assert desk.left_m == round(200 - need.total_m, 2)


def test_a_racquet_takes_the_metres_that_were_measured(desk: Desk) -> None:
    job = desk.job()
    desk.use(job, used=make.cut(6.1, 5.2))
    assert metres_by_job(desk.session, desk.event)[job.id].total_m == 11.3
    assert metres_by_job(desk.session, desk.event)[job.id].measured
    assert desk.left_m == 188.7


def test_the_string_of_a_racquet_is_booked_once(desk: Desk) -> None:
    job = desk.job()
    desk.use(job)
    with pytest.raises(Conflict, match="booked already"):
        desk.use(job)


def test_string_that_is_booked_back_leaves_both_entries(any_session: Session) -> None:
    desk = set_up(any_session)
    job = desk.job()
    desk.use(job, used=make.cut(6.0, 5.0))
    string_use.undo_use(any_session, desk.event, job, acting=make.acting("Mon 12:05"))
    assert desk.left_m == 200
    assert [row.metres for row in entry_rows(any_session, desk.reel.id)] == [200, -6, -5, 5, 6]
    assert metres_by_job(any_session, desk.event) == {}
    assert desk.row().racquets == 0


def test_string_can_be_booked_again_after_it_was_booked_back(desk: Desk) -> None:
    job = desk.job()
    desk.use(job, used=make.cut(6.0, 5.0))
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    desk.use(job, used=make.cut(6.2, 5.1))
    assert desk.left_m == 188.7


def test_a_racquet_is_measured_when_its_last_booking_was(desk: Desk) -> None:
    job = desk.job()
    desk.use(job)
    assert not metres_by_job(desk.session, desk.event)[job.id].measured
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    desk.use(job, used=make.cut(6.2, 5.1))
    assert metres_by_job(desk.session, desk.event)[job.id].measured
    assert event_factors(desk.session, desk.event).n == 1


def test_measured_racquets_correct_the_computed_length(desk: Desk) -> None:
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


def test_booking_back_twice_does_nothing(desk: Desk) -> None:
    job = desk.job()
    desk.use(job)
    string_use.undo_use(desk.session, desk.event, job, acting=make.acting())
    assert string_use.undo_use(desk.session, desk.event, job, acting=make.acting()) == []
    assert desk.left_m == 200


def test_more_than_is_left_is_refused_with_what_to_do(desk: Desk) -> None:
    short = make.make_reel(desk.session, desk.string, metres=3.2, code="R9")
    with pytest.raises(Conflict) as refused:
        desk.use(desk.job(code="J0007"), used=make.cut(6, 5, reels=(short.id, short.id)))
    assert str(refused.value) == (
        "Reel R9 has 3.2 m left, the mains and crosses of J0007 need 11 m. "
        "Measure what is left and enter a correction, receive string, or name another reel."
    )


def test_a_correction_lets_the_string_be_used(desk: Desk) -> None:
    short = make.make_reel(desk.session, desk.string, metres=3.2, code="R9")
    left = store.correct_reel(
        desk.session, desk.event.id, short.id, 12.4, acting=make.acting(), note="measured on the bench"
    )
    desk.use(desk.job(), used=make.cut(6, 5, reels=(short.id, short.id)))
    assert left == 12.4
    assert desk.row("R9").left_m == 1.4
    assert desk.row("R9").corrected_m == 9.2


def test_the_shortest_reel_that_suffices_is_taken(desk: Desk) -> None:
    for code, metres in (("R7", 10.9), ("R8", 11.4), ("R9", 30)):
        make.make_reel(desk.session, desk.string, metres=metres, code=code)
    desk.use(desk.job(), used=make.cut(6, 5))
    assert [desk.row(code).left_m for code in ("R1", "R7", "R8", "R9")] == [200, 10.9, 0.4, 30]


def test_a_two_piece_bed_may_come_from_two_ends(session: Session) -> None:
    desk = set_up(session, metres=6.5)
    make.make_reel(session, desk.string, metres=5.5, code="R2")
    desk.use(desk.job(), used=make.cut(6, 5))
    assert (desk.row("R1").left_m, desk.row("R2").left_m) == (0.5, 0.5)


def test_a_one_piece_bed_never_comes_from_two_ends(session: Session) -> None:
    desk = set_up(session, metres=6.5)
    make.make_reel(session, desk.string, metres=5.5, code="R2")
    with pytest.raises(Conflict, match=r"6\.5 m left"):
        desk.use(desk.job(card={"pieces": 1}), used=make.cut(6, 5))


def test_a_one_piece_bed_refuses_two_reels_named(desk: Desk) -> None:
    other = make.make_reel(desk.session, desk.string)
    with pytest.raises(BadInput, match="one reel"):
        desk.use(desk.job(card={"pieces": 1}), used=make.cut(reels=(desk.reel.id, other.id)))


def test_a_hybrid_takes_from_two_strings(desk: Desk) -> None:
    gut = make.make_string(desk.session, desk.event, name="String B", material="natural_gut")
    make.make_reel(desk.session, gut, code="G1", metres=12)
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}), used=make.cut(6, 5))
    assert (desk.row("G1").left_m, desk.left_m) == (6, 195)


def test_the_rest_of_a_set_is_waste(desk: Desk) -> None:
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


def test_own_string_needs_no_reel(desk: Desk) -> None:
    job = desk.job(card=OWN)
    desk.use(job, used=make.cut(6, 5))
    assert desk.left_m == 200
    assert metres_by_job(desk.session, desk.event)[job.id].total_m == 11
    loose = next(row for row in reel_rows(desk.session, desk.event) if row.kind == "loose")
    assert (loose.owner_name, loose.received_m, loose.used_m, loose.left_m) == (desk.player.name, 11, 11, 0)


def test_own_string_is_cut_from_the_players_own_reel(desk: Desk) -> None:
    make.make_reel(desk.session, desk.string, code="OWN", owner_id=desk.player.id, metres=50)
    desk.use(desk.job(card=OWN), used=make.cut(6, 5))
    assert desk.row("OWN").left_m == 39


def test_the_reel_of_another_player_is_refused(desk: Desk) -> None:
    other = make.make_player(desk.session, desk.event)
    theirs = make.make_reel(desk.session, desk.string, owner_id=other.id)
    with pytest.raises(BadInput, match="another player"):
        desk.use(desk.job(), used=make.cut(reels=(theirs.id, None)))


def test_a_reel_of_another_string_is_refused(desk: Desk) -> None:
    other = make.make_string(desk.session, desk.event, name="String B", gauge_mm=1.3)
    reel = make.make_reel(desk.session, other, code="B1")
    with pytest.raises(BadInput, match=r"Reel B1 is String B 1\.30, but the card says String A 1\.25 for the mains"):
        desk.use(desk.job(), used=make.cut(reels=(reel.id, None)))


@pytest.mark.parametrize("metres", [0, -1, 20.1])
def test_metres_that_cannot_be_are_refused(desk: Desk, metres: float) -> None:
    with pytest.raises(BadInput, match="measure again"):
        desk.use(desk.job(), used=make.cut(metres))


def test_a_withdrawn_reel_strings_nothing(desk: Desk) -> None:
    store.withdraw(desk.session, desk.event.id, desk.reel.id, acting=make.acting())
    with pytest.raises(Conflict, match="withdrawn"):
        desk.use(desk.job(), used=make.cut(reels=(desk.reel.id, None)))
    store.put_back(desk.session, desk.event.id, desk.reel.id, acting=make.acting())
    desk.use(desk.job(), used=make.cut(6, 5, reels=(desk.reel.id, None)))
    assert desk.left_m == 189


def test_a_dropped_reel_goes_as_waste(desk: Desk) -> None:
    store.write_off(desk.session, desk.event.id, desk.reel.id, acting=make.acting(), note="dropped, tangled")
    row = desk.row()
    assert (row.opening_m, row.waste_m, row.left_m, row.is_open) == (200, 200, 0, False)


def test_waste_beyond_what_is_left_is_refused(desk: Desk) -> None:
    with pytest.raises(Conflict, match="has 200 m left, so 201 m cannot go"):
        store.waste(desk.session, desk.event.id, desk.reel.id, 201, acting=make.acting())


def test_a_correction_needs_a_reason(desk: Desk) -> None:
    with pytest.raises(BadInput, match="Say why"):
        store.correct_reel(desk.session, desk.event.id, desk.reel.id, 10, acting=make.acting(), note=" ")


def test_sets_come_one_a_row(desk: Desk) -> None:
    new = new_reels.NewReels(string_id=desk.string.id, metres=12, kind="set", count=3)
    codes = [reel.code for reel in new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())]
    assert codes == ["STR1-1", "STR1-2", "STR1-3"]


def test_a_code_is_given_once(desk: Desk) -> None:
    with pytest.raises(BadInput, match="R1 already"):
        new = new_reels.NewReels(string_id=desk.string.id, metres=200, code="R1")
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())


def test_a_reel_without_metres_is_refused(desk: Desk) -> None:
    with pytest.raises(BadInput, match="metres above 0"):
        new = new_reels.NewReels(string_id=desk.string.id, metres=-5)
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())


def test_a_string_of_unknown_material_is_refused(desk: Desk) -> None:
    with pytest.raises(BadInput) as refused:
        string_list.add_string(
            desk.session, desk.event.id, string_list.StringForm(name=" ", material="wood"), acting=make.acting()
        )
    assert set(refused.value.fields) == {"name", "material"}


def test_a_new_string_gets_a_free_code(desk: Desk) -> None:
    form = string_list.StringForm(name="String C", material="aramid")
    assert string_list.add_string(desk.session, desk.event.id, form, acting=make.acting()).code == "STR2"


STEP = st.tuples(
    st.sampled_from(["receive", "waste", "correct", "use", "undo"]),
    st.integers(min_value=1, max_value=2500).map(lambda centimetres: centimetres / 100),
)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, max_size=12))
def test_stock_balances_for_any_order_of_entries(database: Database, steps: list[tuple[str, float]]) -> None:
    with database.engine.connect() as connection, connection.begin() as transaction:
        desk = set_up(Session(connection, join_transaction_mode="create_savepoint"), metres=40)
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


def _carry_out(desk: Desk, what: str, metres: float, booked: list[tuple[Job, float]], left: float) -> float:
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


def _take(desk: Desk, what: str, metres: float, half: float) -> Job | None:
    if what == "waste":
        store.waste(desk.session, desk.event.id, desk.reel.id, metres, acting=make.acting())
        return None
    job = desk.job(card={"pieces": 1})
    desk.use(job, used=make.cut(half, half))
    return job


def test_a_write_that_fails_leaves_the_stock_as_it_was(any_database: Database) -> None:
    with any_database.writing() as session:
        reel_id = set_up(session).reel.id
    with pytest.raises(RuntimeError), any_database.writing() as session:
        store.waste(session, session.get_one(Reel, reel_id).event_id, reel_id, 50, acting=make.acting())
        raise RuntimeError
    with any_database.reading() as session:
        assert [entry.metres for entry in session.scalars(select(ReelEntry))] == [200]


def cards(desk: Desk, count: int, **over: object) -> list:
    frame = desk.session.get_one(Job, desk.job(state="cancelled").id).racquet.frame
    values = {"mains_string_id": desk.string.id, "crosses_string_id": desk.string.id, "pieces": 2}
    return [(JobCard(**(values | over)), frame) for _ in range(count)]


def test_a_racquet_without_string_is_told_before_it_is_promised(any_session: Session) -> None:
    desk = set_up(any_session, metres=24)
    reasons = string_missing(any_session, desk.event, cards(desk, 3))
    assert reasons[:2] == [None, None]
    assert reasons[2].startswith("String is missing: the ")
    assert reasons[2].endswith("Receive string or choose another.")


def test_what_waits_already_takes_its_string_first(desk: Desk) -> None:
    store.correct_reel(desk.session, desk.event.id, desk.reel.id, 24, acting=make.acting(), note="measured")
    asked = cards(desk, 1)
    assert string_missing(desk.session, desk.event, asked) == [None]
    for state in ("waiting", "held"):
        desk.job(state=state)
    assert string_missing(desk.session, desk.event, asked) != [None]


def test_own_string_is_never_missing(desk: Desk) -> None:
    store.write_off(desk.session, desk.event.id, desk.reel.id, acting=make.acting(), note="lost")
    assert string_missing(desk.session, desk.event, cards(desk, 1, **OWN)) == [None]


def test_own_string_on_a_reel_that_runs_out_is_missing(desk: Desk) -> None:
    make.make_reel(desk.session, desk.string, code="OWN", owner_id=desk.player.id, metres=13)
    reasons = string_missing(desk.session, desk.event, cards(desk, 2, **OWN), player_id=desk.player.id)
    assert [reason is None for reason in reasons] == [True, False]


def test_a_desk_that_keeps_no_store_misses_nothing(desk: Desk) -> None:
    event = make.make_event(desk.session)
    string = make.make_string(desk.session, event)
    player = make.make_player(desk.session, event)
    job = make.make_job(desk.session, player)
    asked = [(job.card, job.racquet.frame)]
    assert string_missing(desk.session, event, asked) == [None]
    string_use.use_for_job(desk.session, event, job, acting=make.acting(), used=make.cut(6, 5))
    assert [(row.code, row.used_m) for row in reel_rows(desk.session, event)] == [(f"loose-{string.code}", 11)]


def test_the_half_of_a_set_that_is_left_is_counted_as_a_half(desk: Desk) -> None:
    gut = make.make_string(desk.session, desk.event, name="Fell Gut", material="natural_gut")
    for kind, count, metres in (("set", 2, 12.2), ("half_set", 1, 6.4)):
        new = new_reels.NewReels(string_id=gut.id, kind=kind, count=count, metres=metres)
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())
    name = next(row.string_name for row in reel_rows(desk.session, desk.event) if row.string_id == gut.id)
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 2, 1)]
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}))
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 2, 0)]
    desk.use(desk.job(card={"mains_string_id": gut.id, "crosses_string_id": desk.string.id}))
    assert sets_left(reel_rows(desk.session, desk.event)) == [(name, 1, 1)]


def test_a_half_set_as_long_as_a_set_is_refused(desk: Desk) -> None:
    new = new_reels.NewReels(string_id=desk.string.id, kind="half_set", metres=12.2)
    with pytest.raises(BadInput, match="cannot be taken into the store") as refused:
        new_reels.add_reels(desk.session, desk.event.id, new, acting=make.acting())
    assert refused.value.fields == {"metres": "at most 8 for a half set"}
