"""Editing the order of play: places close up, nonsense is refused with what to do."""

from typing import Any

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Match
from desk.services.play import order_of_play
from desk.services.play.order_of_play import MatchForm, SideForm
from desk.services.play.play import start_match
from tests.make import acting, make_court, make_event, make_match, make_player, moment


class Courts:
    """Three matches on Court 1 and none on Court 2."""

    def __init__(self, session: Session) -> None:
        self.event = make_event(session)
        self.day = self.event.days[0]
        self.players = [make_player(session, self.event, name=name) for name in "ABCDEF"]
        self.court_1, self.court_2 = (make_court(session, self.event) for _ in range(2))
        pairs = [self.players[0:2], self.players[2:4], self.players[4:6]]
        starts = ["at 11:00", None, "not before 14:00"]
        self.matches = [
            make_match(session, self.court_1, day=self.day, players=pair, start=start)
            for pair, start in zip(pairs, starts, strict=True)
        ]

    def form(self, **over: Any) -> MatchForm:
        values: dict[str, Any] = {"day_id": self.day.id, "court_id": self.court_1.id, "format": "best_of_3_women"}
        return MatchForm(**(values | over))


def codes_in_order(matches: list[Match], court_id: int) -> list[str]:
    return [m.code for m in sorted(matches, key=lambda m: m.position) if m.court_id == court_id]


@pytest.fixture
def courts(session: Session) -> Courts:
    return Courts(session)


def test_a_new_match_stands_last_and_gets_a_free_code(session: Session, courts: Courts) -> None:
    match, _ = order_of_play.add_match(session, courts.event.id, courts.form(), acting=acting())
    assert (match.code, match.position, match.state) == ("M4", 4, "scheduled")


def test_a_match_put_in_between_makes_the_others_move_up(session: Session, courts: Courts) -> None:
    match, _ = order_of_play.add_match(session, courts.event.id, courts.form(position=2), acting=acting())
    one, two, three = (m.code for m in courts.matches)
    assert codes_in_order([*courts.matches, match], courts.court_1.id) == [one, match.code, two, three]


def test_a_moved_match_leaves_no_gap(session: Session, courts: Courts) -> None:
    one, two, three = courts.matches
    order_of_play.move_match(session, courts.event.id, two.id, acting=acting(), court_id=courts.court_2.id)
    assert [(m.court_id, m.position) for m in (one, two, three)] == [
        (courts.court_1.id, 1),
        (courts.court_2.id, 1),
        (courts.court_1.id, 2),
    ]


def test_a_match_moved_to_the_next_day_takes_its_time_along(session: Session, courts: Courts) -> None:
    match = courts.matches[2]
    order_of_play.move_match(
        session, courts.event.id, match.id, acting=acting(), court_id=courts.court_1.id, day_id=courts.event.days[1].id
    )
    assert (match.start_at, match.position) == (moment("Tue 14:00"), 1)


def test_a_match_in_play_stays_where_it_is(session: Session, courts: Courts) -> None:
    start_match(session, courts.event.id, courts.matches[0].id, acting=acting())
    with pytest.raises(Conflict, match="on court; to be moved it must be still to start or suspended"):
        order_of_play.move_match(
            session, courts.event.id, courts.matches[0].id, acting=acting(), court_id=courts.court_2.id
        )


def test_a_removed_match_leaves_no_gap(session: Session, courts: Courts) -> None:
    order_of_play.remove_match(session, courts.event.id, courts.matches[1].id, acting=acting())
    assert [courts.matches[0].position, courts.matches[2].position] == [1, 2]


def test_a_match_whose_winner_is_awaited_is_not_removed(session: Session, courts: Courts) -> None:
    first = courts.matches[0]
    form = courts.form(sides=(SideForm(winner_of_id=first.id), SideForm()), code="F")
    order_of_play.add_match(session, courts.event.id, form, acting=acting())
    with pytest.raises(Conflict, match="Match F waits for the winner"):
        order_of_play.remove_match(session, courts.event.id, first.id, acting=acting())


def test_a_cycle_of_winners_is_refused(session: Session, courts: Courts) -> None:
    first, last = courts.matches[0], courts.matches[2]
    form = courts.form(sides=(SideForm(winner_of_id=last.id), SideForm()), code=first.code, position=1)
    with pytest.raises(BadInput, match=f"They wait for each other: .*{first.code}.*Correct"):
        order_of_play.edit_match(session, courts.event.id, first.id, form, acting=acting())


def test_a_match_that_waits_for_its_own_winner_is_refused(session: Session, courts: Courts) -> None:
    first = courts.matches[0]
    form = courts.form(sides=(SideForm(winner_of_id=first.id), SideForm()), code=first.code)
    with pytest.raises(BadInput, match="They wait for each other"):
        order_of_play.edit_match(session, courts.event.id, first.id, form, acting=acting())


def test_a_code_that_is_taken_is_refused(session: Session, courts: Courts) -> None:
    form = courts.form(code=courts.matches[0].code)
    with pytest.raises(Conflict, match="take another code"):
        order_of_play.add_match(session, courts.event.id, form, acting=acting())


@pytest.mark.parametrize(
    ("over", "field"),
    [
        ({"format": "best_of_9"}, "format"),
        ({"start_kind": "soon"}, "start_kind"),
        ({"start_kind": "not_before"}, "start_at"),
    ],
)
def test_a_form_without_sense_names_its_field(
    session: Session, courts: Courts, over: dict[str, Any], field: str
) -> None:
    with pytest.raises(BadInput) as caught:
        order_of_play.add_match(session, courts.event.id, courts.form(**over), acting=acting())
    assert list(caught.value.fields) == [field]


def test_a_player_on_both_sides_is_refused(session: Session, courts: Courts) -> None:
    a = courts.players[0].id
    with pytest.raises(BadInput, match="both sides"):
        order_of_play.add_match(
            session,
            courts.event.id,
            courts.form(sides=(SideForm(player_ids=[a]), SideForm(player_ids=[a]))),
            acting=acting(),
        )


def test_a_court_of_another_event_is_refused(session: Session, courts: Courts) -> None:
    elsewhere = make_court(session, make_event(session))
    with pytest.raises(BadInput, match="belongs to another event"):
        order_of_play.add_match(session, courts.event.id, courts.form(court_id=elsewhere.id), acting=acting())


def test_a_court_name_that_is_taken_is_refused(session: Session, courts: Courts) -> None:
    with pytest.raises(Conflict, match="take another name"):
        order_of_play.add_court(session, courts.event.id, f" {courts.court_1.name} ", acting=acting())


def test_an_edited_match_takes_its_new_place_and_players(session: Session, courts: Courts) -> None:
    second, players = courts.matches[1], courts.players
    form = courts.form(
        court_id=courts.court_2.id,
        start_kind="at",
        start_at=moment("Mon 13:00"),
        sides=(SideForm(player_ids=[players[4].id]), SideForm(winner_of_id=courts.matches[0].id)),
    )
    order_of_play.edit_match(session, courts.event.id, second.id, form, acting=acting())
    assert (second.court_id, second.position, second.start_at) == (courts.court_2.id, 1, moment("Mon 13:00"))
    assert [(s.side, s.player_id, s.winner_of_id) for s in second.sides] == [
        (1, players[4].id, None),
        (2, None, courts.matches[0].id),
    ]
    assert courts.matches[2].position == 2
