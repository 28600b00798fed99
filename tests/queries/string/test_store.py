"""What the store shows: reels with their sums."""

from sqlalchemy.orm import Session

from desk.queries.string.lengths import metres_by_job
from desk.queries.string.store import entry_rows, reel_rows
from desk.services.string import store
from tests import make
from tests.make import acting, moment
from tests.queries.string.planned_store import PlannedStore, planned_store
from tests.statements import statements_after


def test_reels_take_a_fixed_number_of_statements(desk: PlannedStore) -> None:
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
    desk = planned_store(any_session)
    for at, metres in (("Mon 12:00", 10), ("Tue 12:00", 20), ("Wed 12:00", 30)):
        store.waste(any_session, desk.event.id, desk.reel.id, metres, acting=acting(at))
    (row,) = reel_rows(any_session, desk.event, from_at=moment("Tue 00:00"), to_at=moment("Wed 00:00"))
    assert (row.opening_m, row.waste_m, row.left_m) == (190, 20, 170)
