"""Live play: one touch each, guards first, and the last touch can be taken back."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, LogEntry, Player, PlayStop
from desk.queries.play.play_records import play_matches, read_play
from desk.services.play import order_of_play, play, play_stops
from desk.services.play.order_of_play import MatchForm, edit_match
from tests.make import acting, make_court, make_event, make_job, make_match, make_player, moment


class Day:
    """Two courts: A against B and then C against D on Court 1, E against F on Court 2, the winners last."""

    def __init__(self, session: Session) -> None:
        self.event: Event = make_event(session)
        self.players: list[Player] = [make_player(session, self.event, name=name) for name in "ABCDEF"]
        a, b, c, d, e, f = self.players
        day = self.event.days[0]
        self.court_1, self.court_2 = (make_court(session, self.event) for _ in range(2))
        self.first = make_match(session, self.court_1, day=day, players=(a, b), start="at 11:00")
        self.second = make_match(session, self.court_1, day=day, players=(c, d))
        self.other = make_match(session, self.court_2, day=day, players=(e, f), start="at 11:00")
        self.last = make_match(
            session, self.court_2, day=day, players=(self.first, self.other), start="not before 15:00"
        )


@pytest.fixture
def day(session: Session) -> Day:
    return Day(session)


def test_a_match_is_started_at_the_present_time(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:04"))
    assert (day.first.state, day.first.started_at) == ("on_court", moment("Mon 11:04"))


def test_a_match_may_be_started_some_minutes_afterwards(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:14"), started_at=moment("Mon 11:02"))
    assert day.first.started_at == moment("Mon 11:02")


def test_a_start_to_come_is_refused(session: Session, day: Day) -> None:
    with pytest.raises(BadInput, match="still to come"):
        play.start_match(
            session, day.event.id, day.first.id, acting=acting("Mon 11:00"), started_at=moment("Mon 11:02")
        )


def test_a_second_match_on_a_taken_court_is_refused(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    with pytest.raises(Conflict, match=f"Match {day.first.code} is still on Court 1; finish or suspend it"):
        play.start_match(session, day.event.id, day.second.id, acting=acting("Mon 11:30"))


def test_a_player_on_two_courts_at_once_is_refused(session: Session, day: Day) -> None:
    a, b = day.players[:2]
    double = make_match(session, make_court(session, day.event), day=day.event.days[0], players=(a, b))
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    with pytest.raises(Conflict, match="A is still on Court 1"):
        play.start_match(session, day.event.id, double.id, acting=acting("Mon 11:30"))


def test_a_match_that_waits_for_a_winner_is_not_started(session: Session, day: Day) -> None:
    with pytest.raises(Conflict, match=f"waits for the winner of match {day.first.code}"):
        play.start_match(session, day.event.id, day.last.id, acting=acting("Mon 15:00"))


def test_a_match_that_never_started_cannot_be_finished(session: Session, day: Day) -> None:
    with pytest.raises(Conflict, match="still to start"):
        play.finish_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))


def test_the_winner_takes_the_place_that_waited(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play.finish_match(session, day.event.id, day.first.id, acting=acting("Mon 12:40"), winner_side=2)
    assert [side.player_id for side in day.last.sides] == [day.players[1].id, None]


def test_both_winners_of_a_doubles_take_the_place(session: Session, day: Day) -> None:
    partner = make_player(session, day.event)
    day.first.sides.append(type(day.first.sides[0])(side=1, player_id=partner.id))
    session.flush()
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"), winner_side=1)
    assert [side.player_id for side in day.last.sides if side.side == 1] == [day.players[0].id, partner.id]


def test_a_corrected_winner_replaces_the_first(session: Session, day: Day) -> None:
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"), winner_side=1)
    play.enter_winner(session, day.event.id, day.first.id, 2, acting=acting("Mon 10:01"))
    assert [side.player_id for side in day.last.sides] == [day.players[1].id, None]


def test_a_corrected_winner_of_a_doubles_leaves_no_partner_of_the_first(session: Session, day: Day) -> None:
    side = type(day.first.sides[0])
    partners = [make_player(session, day.event) for _ in range(2)]
    day.first.sides.extend(side(side=n, player_id=one.id) for n, one in enumerate(partners, 1))
    session.flush()
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"), winner_side=1)
    play.enter_winner(session, day.event.id, day.first.id, 2, acting=acting("Mon 10:01"))
    assert [one.player_id for one in day.last.sides if one.side == 1] == [day.players[1].id, partners[1].id]


@pytest.mark.parametrize("end", [play.finish_match, play.retire])
def test_taking_back_an_end_empties_the_winners_place(session: Session, day: Day, end: object) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    end(session, day.event.id, day.first.id, acting=acting("Mon 12:40"), winner_side=2)
    play.undo_last_change(session, day.event.id, day.first.id, acting=acting("Mon 12:41"))
    assert (day.first.state, day.first.ended_at, day.first.winner_side) == ("on_court", None, None)
    assert [side.player_id for side in day.last.sides] == [None, None]


def test_taking_back_a_start_forgets_it(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play.undo_last_change(session, day.event.id, day.first.id, acting=acting("Mon 11:01"))
    assert (day.first.state, day.first.started_at) == ("scheduled", None)


def test_nothing_is_taken_back_of_an_untouched_match(session: Session, day: Day) -> None:
    with pytest.raises(Conflict, match="nothing to take back"):
        play.undo_last_change(session, day.event.id, day.first.id, acting=acting("Mon 11:01"))


def test_an_end_is_not_taken_back_once_the_winner_plays_on(session: Session, day: Day) -> None:
    for match in (day.first, day.other):
        play.walkover(session, day.event.id, match.id, acting=acting("Mon 10:00"), winner_side=1)
    play.start_match(session, day.event.id, day.last.id, acting=acting("Mon 15:00"))
    with pytest.raises(Conflict, match=f"take back that of {day.last.code} first"):
        play.undo_last_change(session, day.event.id, day.first.id, acting=acting("Mon 15:01"))


def test_rain_suspends_every_match_in_play_and_no_other(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play.start_match(session, day.event.id, day.other.id, acting=acting("Mon 11:02"))
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:40"))
    states = [match.state for match in (day.first, day.second, day.other, day.last)]
    assert states == ["suspended", "scheduled", "suspended", "scheduled"]


def test_play_that_goes_on_puts_the_matches_back_on_court(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:40"))
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 12:00"), resumes_at=moment("Mon 13:00"))
    assert day.first.state == "suspended"
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 13:05"))
    assert day.first.state == "on_court"
    assert session.scalars(select(PlayStop.resumes_at)).all() == [moment("Mon 13:05")]


def test_play_cannot_stop_twice_nor_resume_while_it_runs(session: Session, day: Day) -> None:
    with pytest.raises(Conflict, match="not stopped"):
        play_stops.resume_play(session, day.event.id, acting=acting("Mon 11:00"))
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:40"))
    with pytest.raises(Conflict, match="stopped already"):
        play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:41"))


def test_too_many_finished_sets_are_refused(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play.set_sets_done(session, day.event.id, day.first.id, 2, acting=acting("Mon 12:00"))
    with pytest.raises(BadInput, match="3 sets"):
        play.set_sets_done(session, day.event.id, day.first.id, 3, acting=acting("Mon 12:00"))
    assert day.first.sets_done == 2


def test_every_change_counts_for_screens_and_planner(session: Session, day: Day) -> None:
    revision, change_number = day.event.revision, day.event.change_number
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    assert day.event.revision > revision
    assert day.event.change_number == change_number + 1


def test_a_walkover_tells_the_log_which_racquet_became_urgent(session: Session, day: Day) -> None:
    job = make_job(session, day.players[2], weight=5, needed_by_at=moment("Mon 12:20"), match_id=day.second.id)
    play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"), winner_side=1)
    session.flush()
    told = session.scalars(select(LogEntry).where(LogEntry.subject == "needed sooner")).all()
    assert [entry.job_id for entry in told] == [job.id]
    assert told[0].text.startswith(f"Match {day.first.code} is a walkover. Match {day.second.code} on Court 1 ")


def test_a_move_is_taken_back_to_its_old_place(session: Session, day: Day) -> None:
    third = make_match(session, day.court_1, day=day.event.days[0], players=())
    job = make_job(session, day.players[2])
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    before = job.needed_by_at
    order_of_play.move_match(session, day.event.id, day.second.id, acting=acting("Mon 11:05"), court_id=day.court_2.id)
    assert (day.second.court_id, third.position) == (day.court_2.id, 2)
    play.undo_last_change(session, day.event.id, day.second.id, acting=acting("Mon 11:05"))
    assert (day.second.court_id, day.second.position, third.position) == (day.court_1.id, 2, 3)
    assert [match.position for match in (day.other, day.last)] == [1, 2]
    assert job.needed_by_at == before
    with pytest.raises(Conflict, match="nothing to take back"):
        play.undo_last_change(session, day.event.id, day.second.id, acting=acting("Mon 11:06"))


def test_a_move_to_another_day_is_taken_back_with_its_time(session: Session, day: Day) -> None:
    tomorrow = day.event.days[1]
    order_of_play.move_match(
        session, day.event.id, day.last.id, acting=acting("Mon 12:00"), court_id=day.court_1.id, day_id=tomorrow.id
    )
    assert day.last.start_at == moment("Tue 15:00")
    play.undo_last_change(session, day.event.id, day.last.id, acting=acting("Mon 12:01"))
    assert (day.last.day_id, day.last.start_at) == (day.event.days[0].id, moment("Mon 15:00"))


def test_a_suspended_match_that_was_moved_counts_its_pause_from_the_rain(session: Session, day: Day) -> None:
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:00"))
    play.suspend(session, day.event.id, day.first.id, acting=acting("Mon 11:30"))
    order_of_play.move_match(
        session, day.event.id, day.first.id, acting=acting("Mon 12:00"), court_id=day.court_2.id, position=1
    )
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 12:30"))
    session.flush()
    found = play_matches(read_play(session, day.event), 800)
    assert [match.paused_min for match in found if match.key == day.first.code] == [60]


def test_a_match_edited_after_its_move_is_not_moved_back(session: Session, day: Day) -> None:
    order_of_play.move_match(session, day.event.id, day.second.id, acting=acting("Mon 11:05"), court_id=day.court_2.id)
    form = MatchForm(day_id=day.event.days[0].id, court_id=day.court_1.id, format="doubles")
    edit_match(session, day.event.id, day.second.id, form, acting=acting("Mon 11:06"))
    with pytest.raises(Conflict, match="nothing to take back"):
        play.undo_last_change(session, day.event.id, day.second.id, acting=acting("Mon 11:07"))
