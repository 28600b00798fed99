"""What to order for the rest of an event."""

import pytest
from sqlalchemy.orm import Session

from desk.models.database import Database
from desk.queries.string.orders import order_rows
from desk.services.string import store
from tests import make
from tests.make import acting, moment
from tests.queries.string.planned_store import BED_M, PlannedStore, planned_store
from tests.statements import statements_after


def test_what_waits_is_needed(desk: PlannedStore) -> None:
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
    desk = planned_store(any_session)
    player = desk.players[0]
    desk.strung(dropped_at=moment("Mon 08:30"))
    court = make.make_court(any_session, desk.event)
    make.make_match(any_session, court, day=desk.event.days[0], players=(player, None))
    (row,) = order_rows(any_session, desk.event, moment("Mon 12:00"))
    # In today's match, then half on Tuesday and a quarter on Wednesday: 0.75 matches beyond it, 11 m each.
    assert (row.waiting_m, row.need_m) == (0, 8.2)
    assert (row.order, row.runs_out_on, row.use_per_day_m) == (0, None, 11)


def test_a_player_who_is_out_needs_nothing_more(desk: PlannedStore) -> None:
    player = desk.players[0]
    desk.strung(dropped_at=moment("Mon 08:30"))
    over = {"state": "finished", "started_at": moment("Mon 10:00"), "ended_at": moment("Mon 12:00")}
    court = make.make_court(desk.session, desk.event)
    make.make_match(desk.session, court, day=desk.event.days[0], players=(player, None), **over)
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    assert row.need_m == 0


def test_without_an_order_of_play_players_go_on_by_the_day(desk: PlannedStore) -> None:
    desk.strung(dropped_at=moment("Mon 08:30"))
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    # 11 m on the first day, two days to come.
    assert row.need_m == 22


def test_the_day_on_which_string_runs_out_follows_the_pace(session: Session) -> None:
    desk = planned_store(session, metres=211, days=5)
    desk.strung(dropped_at=moment("Mon 08:30"))
    store.correct_reel(session, desk.event.id, desk.reel.id, 25, acting=acting(), note="measured")
    (row,) = order_rows(session, desk.event, moment("Mon 13:00"))
    # 11 m a day from Tuesday: 25 m last for Tuesday and Wednesday and run out on Thursday.
    assert (row.need_m, row.runs_out_on, row.order) == (44, desk.event.days[3].date, 1)


def test_own_string_is_not_ordered(desk: PlannedStore) -> None:
    own = {"own_mains": True, "own_crosses": True}
    desk.strung(card=own)
    desk.planned(None, card=own)
    (row,) = order_rows(desk.session, desk.event, moment("Mon 13:00"))
    assert (row.need_m, row.on_hand_m, row.use_per_day_m) == (0, 200, 0)


def test_orders_take_a_fixed_number_of_statements(desk: PlannedStore) -> None:
    court = make.make_court(desk.session, desk.event)

    def more() -> None:
        player = make.make_player(desk.session, desk.event)
        desk.planned(None, player=player)
        make.make_string(desk.session, desk.event)
        make.make_match(desk.session, court, day=desk.event.days[0], players=(player, None))

    asked = statements_after(desk.session, more, lambda: order_rows(desk.session, desk.event, moment("Mon 13:00")))
    assert asked == [[11], [11]]


def test_the_order_for_the_rest_of_the_event_is_as_reckoned_by_hand(any_database: Database) -> None:
    with any_database.writing() as session:
        desk = planned_store(session, metres=60)
        winner, loser, resting, tuesday = (make.make_player(session, desk.event) for _ in range(4))
        for player, racquets in ((winner, 2), (loser, 1)):
            for _ in range(racquets):
                desk.strung(player=player, dropped_at=moment("Mon 08:30"))
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
