"""The tables follow the models on both databases, and values come back as they were given."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from alembic import command
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError, StatementError

from desk.models import Event, Frame, JobCard, Player, PlayStop, Stringer
from desk.models.database import Database
from tests import make


def make_event(**over: object) -> Event:
    values = {"slug": "e", "name": "E", "time_zone": "Europe/Madrid", "currency": "EUR"} | over
    return Event(**values)


def test_migrations_give_what_the_models_say(any_database: Database) -> None:
    any_database.check()


@pytest.mark.slow
def test_own_string_and_pace_of_older_records_are_kept(any_database: Database) -> None:
    with any_database.writing() as session:
        event = make.make_event(session)
        player = make.make_player(session, event)
        make.make_stringer(session, event, pace=118, pace_entered=110)
        for own in (True, False):
            make.make_job(session, player, card={"own_mains": own, "own_crosses": own})
    command.downgrade(any_database.alembic_config(), "0004")
    any_database.upgrade()
    any_database.check()
    with any_database.reading() as session:
        cards = session.scalars(select(JobCard).order_by(JobCard.id))
        assert [(card.own_mains, card.own_crosses) for card in cards] == [(True, True), (False, False)]
        assert session.scalars(select(Stringer.pace_entered)).one() == 118


def test_an_older_event_gets_the_published_changeover(any_database: Database) -> None:
    with any_database.writing() as session:
        event = make.make_event(session, between_least_minutes=1, between_median_minutes=2, match_length_per_cent=90)
        make.make_player(session, event, name="Ilka Torvane")
    command.downgrade(any_database.alembic_config(), "0005")
    any_database.upgrade()
    with any_database.reading() as session:
        event = session.scalars(select(Event)).one()
        assert (event.between_least_minutes, event.between_median_minutes, event.match_length_per_cent) == (15, 23, 100)
        assert session.scalars(select(Player.name)).all() == ["Ilka Torvane"]


def test_a_tension_keeps_every_digit(any_database: Database) -> None:
    with any_database.writing() as session:
        event = make_event()
        session.add(event)
        session.flush()
        session.add(Frame(event_id=event.id, code="F", name="F", mains=16, crosses=19, tension_low=Decimal("52.50")))
    with any_database.reading() as session:
        assert str(session.scalars(select(Frame)).one().tension_low) == "52.50"


def test_a_time_comes_back_in_utc(any_database: Database) -> None:
    spoken = datetime(2031, 5, 12, 14, 0, tzinfo=timezone(timedelta(hours=2)))
    with any_database.writing() as session:
        event = make_event()
        session.add(event)
        session.flush()
        session.add(PlayStop(event_id=event.id, from_at=spoken, by="lead"))
    with any_database.reading() as session:
        assert session.scalars(select(PlayStop)).one().from_at == datetime(2031, 5, 12, 12, 0, tzinfo=UTC)


def test_a_time_without_a_zone_is_refused(database: Database) -> None:
    with pytest.raises(StatementError, match="no time zone"), database.writing() as session:
        session.add(make_event(clock_real_at=datetime(2031, 5, 12)))


def test_a_row_of_a_missing_event_is_refused(any_database: Database) -> None:
    with pytest.raises(IntegrityError), any_database.writing() as session:
        now = datetime(2031, 5, 12, tzinfo=UTC)
        session.add(Player(event_id=99, code="P", name="P", search_name="p", token="t", token_issued_at=now))


def test_a_failed_write_leaves_nothing(any_database: Database) -> None:
    with pytest.raises(RuntimeError), any_database.writing() as session:
        session.add(make_event())
        session.flush()
        raise RuntimeError
    with any_database.reading() as session:
        assert session.scalars(select(Event)).all() == []
