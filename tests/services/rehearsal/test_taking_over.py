"""What an earlier event knew is taken over by choice; nobody is merged unasked, what was erased stays erased."""

from datetime import UTC, datetime

import pytest

from desk.errors import BadInput
from desk.models import Event, KnownCard, Machine, Player, PlayerWish, Price, Racquet, Stringer
from desk.queries.players.players import racquet_rows
from desk.queries.rehearsal.earlier_event import returning
from desk.services.rehearsal.taking_over import SOMEBODY_ELSE, take_over
from tests import make

AT = make.acting("Mon 07:00")


@pytest.fixture
def two_events(database):
    """A session with this year's event, and last year's with a player, a racquet strung to a card, and a team."""
    with database.writing() as session:
        before = make.make_event(session, slug="before", name="Harbour Week")
        machine = make.make_machine(session, before, name="Bench 7")
        make.make_stringer(session, before, name="Bo Karrel", home_machine_id=machine.id, pace=110)
        player = make.make_player(session, before, name="Ilka Torvane")
        make.make_job(session, player, card={"stencil": "wave, red"})
        make.make_price(session, before, "labour", 1800)
        now = make.make_event(session, slug="now", name="Harbour Week II")
        yield session, now, before


def taken(session, now: Event, before: Event, *parts: str, **answers: str):
    return take_over(session, now.id, session, before, parts, answers, acting=AT)


def one(session, table, event: Event):
    return session.query(table).filter_by(event_id=event.id).one()


def test_a_returning_player_brings_racquets_and_cards_with_their_year(two_events) -> None:
    session, now, before = two_events
    assert taken(session, now, before, "players", "cards").counts == {
        "players": 1, "frames": 1, "racquets": 1, "strings": 1, "cards": 1
    }  # fmt: skip
    row = racquet_rows(session, one(session, Player, now))[0]
    assert row.known_from == "Harbour Week 2031"
    assert row.last.stencil == "wave, red"
    assert row.last.strings
    assert not row.is_at_desk


def test_a_racquet_strung_here_shows_that_card(two_events) -> None:
    session, now, before = two_events
    taken(session, now, before, "players", "cards")
    player = one(session, Player, now)
    racquet = session.query(Racquet).filter_by(player_id=player.id).one()
    make.make_job(session, player, racquet=racquet)
    assert racquet_rows(session, player)[0].known_from == ""


def test_team_and_benches_and_prices_are_taken_over_once(two_events) -> None:
    session, now, before = two_events
    taken(session, now, before, "team", "prices")
    assert str(taken(session, now, before, "team", "prices", "machines")) == "nothing new"
    stringer = one(session, Stringer, now)
    assert (stringer.name, stringer.pace) == ("Bo Karrel", 110)
    assert stringer.home_machine_id == one(session, Machine, now).id
    assert one(session, Price, now).amount_minor == 1800


def test_the_same_name_is_the_same_player(two_events) -> None:
    session, now, before = two_events
    make.make_player(session, now, name="Ilka TORVANE", search_name="ilka torvane")
    taken(session, now, before, "players", "cards")
    assert session.query(Player).filter_by(event_id=now.id).count() == 1
    assert session.query(KnownCard).count() == 1


@pytest.mark.parametrize("name", ["Ilca Torvane", "Torvane Ilka", "I. Torvane", "Ilka Torvanne"])
def test_one_person_under_two_spellings_is_asked_and_never_merged_silently(two_events, name: str) -> None:
    session, now, before = two_events
    here, then = make.make_player(session, now, name=name), one(session, Player, before)
    assert [(p.code, p.is_asked) for p in returning(session, now, session, before)] == [(then.code, True)]
    with pytest.raises(BadInput, match="Ilka Torvane"):
        taken(session, now, before, "players", "cards")
    assert session.query(Racquet).filter_by(player_id=here.id).count() == 0
    taken(session, now, before, "players", "cards", **{then.code: here.code})
    assert session.query(Player).filter_by(event_id=now.id).count() == 1
    assert session.query(Racquet).filter_by(player_id=here.id).count() == 1


def test_somebody_else_of_a_like_name_becomes_a_player_more(two_events) -> None:
    session, now, before = two_events
    make.make_player(session, now, name="Ilca Torvane")
    taken(session, now, before, "players", "cards", **{one(session, Player, before).code: SOMEBODY_ELSE})
    assert session.query(Player).filter_by(event_id=now.id).count() == 2


def test_two_namesakes_are_asked_about(two_events) -> None:
    session, now, before = two_events
    for _ in range(2):
        make.make_player(session, now, name="Ilka Torvane")
    assert returning(session, now, session, before)[0].is_asked


def test_what_a_player_had_erased_stays_erased(two_events) -> None:
    session, now, before = two_events
    one(session, Player, before).erased_at = datetime(2031, 5, 20, tzinfo=UTC)
    session.flush()
    assert str(taken(session, now, before, "players", "cards")) == "nothing new"
    assert session.query(Player).filter_by(event_id=now.id).count() == 0


def test_an_unknown_part_and_prices_of_another_currency_are_refused(two_events) -> None:
    session, now, before = two_events
    with pytest.raises(BadInput, match="choose of"):
        taken(session, now, before, "weather")
    before.currency = "SEK" if now.currency != "SEK" else "EUR"
    with pytest.raises(BadInput, match="enter them anew"):
        taken(session, now, before, "prices")


def test_without_cards_only_people_and_racquets_come(two_events) -> None:
    session, now, before = two_events
    assert "cards" not in taken(session, now, before, "players").counts
    assert session.query(KnownCard).count() == 0


def test_cards_alone_are_for_those_who_are_here(two_events) -> None:
    session, now, before = two_events
    make.make_player(session, before, name="Mara Quell")
    make.make_player(session, now, name="Ilka Torvane")
    assert taken(session, now, before, "cards").counts["cards"] == 1
    assert session.query(Player).filter_by(event_id=now.id).count() == 1


def test_frames_and_strings_come_alone(two_events) -> None:
    session, now, before = two_events
    assert set(taken(session, now, before, "frames", "strings").counts) == {"frames", "strings"}


def test_last_years_own_stringer_is_wished_for_where_there_again(two_events) -> None:
    session, now, before = two_events
    one(session, Player, before).own_stringer_id = one(session, Stringer, before).id
    session.flush()
    assert taken(session, now, before, "team", "players").counts["wishes"] == 1
    assert "wishes" not in taken(session, now, before, "team", "players").counts
    assert session.query(PlayerWish).one().by == "as at Harbour Week"
