"""How many matches a player may still have."""

from sqlalchemy.orm import Session

from desk.models import Event, Match, Player
from desk.queries.play.matches_to_come import matches_to_come
from tests import make


def expected(session: Session, event: Event, player: Player) -> float:
    return matches_to_come(session, event)[player.id].expected


def test_the_winner_of_a_match_goes_on_with_half_a_chance(session: Session, event: Event) -> None:
    a, b = (make.make_player(session, event) for _ in range(2))
    court = make.make_court(session, event)
    semi = make.make_match(session, court, day=event.days[1], players=(a, b))
    make.make_match(session, court, day=event.days[2], players=(semi, None))
    assert expected(session, event, a) == 1.5


def test_a_match_that_feeds_itself_ends_nowhere(session: Session, event: Event) -> None:
    player = make.make_player(session, event)
    court = make.make_court(session, event)
    one: Match = make.make_match(session, court, day=event.days[2], players=(player, None))
    two = make.make_match(session, court, day=event.days[2], players=(one, None))
    one.sides[1].winner_of_id = two.id
    session.flush()
    assert expected(session, event, player) == 1.0
