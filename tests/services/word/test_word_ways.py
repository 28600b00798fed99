"""Ways by which somebody is told: asked for, refused, changed, stopped and erased."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Contact, Event, LogEntry, Word, WordWay
from desk.services.bench import jobs
from desk.services.players.contacts import ContactForm, edit_contact
from desk.services.players.erasing import erase_player
from desk.services.players.players import new_token
from desk.services.word import word_ways
from desk.services.word.word_ways import stop_way
from tests import make
from tests.make import acting, moment
from tests.services.word.asked import MAIL, AskedDesk


def test_a_contact_is_told_of_its_players_only_where_it_is_to_be_told(session: Session) -> None:
    desk = AskedDesk(session, asks=False, racquets=4)
    mine = {"email": "coach@example.org", "language": "de", "is_told": False}
    coach = make.make_contact(session, desk.event, desk.desk.player, **mine)
    (right,) = coach.players
    desk.string(0, "Mon 10:00")
    assert desk.words() == []
    right.is_told = True
    desk.string(1, "Mon 10:30")
    (way,) = session.scalars(select(WordWay)).all()
    assert (desk.words(), way.address, way.language) == ([("ready", "waiting")], "coach@example.org", "de")
    change(session, coach, email="new@example.org")
    desk.string(2, "Mon 11:00")
    assert [one.address for one in session.scalars(select(WordWay))] == ["new@example.org"]
    stop_way(session, desk.event.id, way.id, acting=acting("Mon 11:01"))
    assert [state for _, state in desk.words()] == ["dropped", "dropped"]
    jobs.hold_job(session, desk.event.id, desk.jobs[3].id, "wrong grip", acting=acting("Mon 11:02"))
    assert len(desk.words()) == 2


def change(session: Session, contact: Contact, **over: str) -> None:
    kept = {name: getattr(contact, name) for name in ("name", "kind", "phone", "email", "language")} | over
    edit_contact(session, contact.event_id, contact.id, ContactForm(**kept), acting=acting("Mon 10:45"))


def test_an_address_that_the_desk_takes_away_is_told_no_more_until_there_is_one_again(session: Session) -> None:
    desk = AskedDesk(session, asks=False)
    coach = make.make_contact(session, desk.event, desk.desk.player, email="coach@example.org", is_told=True)
    desk.string(0, "Mon 10:00")
    change(session, coach, email="")
    assert desk.words() == [("ready", "dropped")]
    desk.string(1, "Mon 11:00")
    assert len(desk.words()) == 1
    change(session, coach, email="coach@example.net")
    desk.string(2, "Mon 11:30")
    assert desk.words() == [("ready", "dropped"), ("ready", "waiting")]


def test_asking_twice_is_one_way_and_the_log_holds_no_address(session: Session, desk: AskedDesk) -> None:
    assert desk.ask(language="it").id == desk.way.id
    texts = session.scalars(select(LogEntry.text).where(LogEntry.subject == "word")).all()
    assert texts == [f"{desk.desk.player.name} is told by e-mail when a racquet is ready"]


def test_nobody_has_more_ways_than_a_few(desk: AskedDesk) -> None:
    desk.ask("two@example.org")
    desk.ask("three@example.org")
    with pytest.raises(Conflict, match="3 places"):
        desk.ask("four@example.org")


def test_asking_and_ending_for_ever_does_not_fill_the_records(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(word_ways, "MOST_EVER", 4)
    desk = AskedDesk(session)
    for _ in range(3):
        stop_way(session, desk.event.id, desk.ask("two@example.org").id, acting=acting("Mon 10:00"))
    with pytest.raises(Conflict, match="too often"):
        desk.ask("two@example.org")


@pytest.mark.parametrize("address", ["", "ilka", "ilka@example", "a b@example.org", "ilka@example.org\nBcc: x@y.org"])
def test_what_is_no_address_is_refused(session: Session, address: str) -> None:
    with pytest.raises(BadInput, match="no e-mail address"):
        AskedDesk(session, asks=False).ask(address)


def test_a_stopped_way_forgets_its_address_and_drops_what_waits(session: Session, desk: AskedDesk) -> None:
    desk.string(0, "Mon 10:00")
    way = stop_way(session, desk.event.id, desk.way.id, acting=acting("Mon 10:01"))
    assert (way.address, desk.words()) == ("", [("ready", "dropped")])


def test_a_new_link_ends_what_was_asked_for_on_the_old_page(session: Session, desk: AskedDesk) -> None:
    desk.way.by = "the own page"
    kept = desk.ask("desk@example.org")
    new_token(session, desk.event.id, desk.desk.player.id, acting=acting())
    assert (desk.way.address, kept.address) == ("", "desk@example.org")


def test_erasing_a_player_erases_addresses_and_what_waits(session: Session) -> None:
    desk = AskedDesk(session, racquets=1)
    jobs.cancel_job(session, desk.event.id, desk.jobs[0].id, "not wanted", acting=acting("Mon 10:00"))
    session.add(
        Word(
            event_id=desk.event.id, way_id=desk.way.id, job_id=desk.jobs[0].id, occasion="held", cause_id=1,
            at=moment("Mon 10:00"),
        )
    )  # fmt: skip
    session.flush()
    erase_player(session, desk.event.id, desk.desk.player.id, acting=acting("Wed 23:00"))
    left = [session.scalar(select(func.count()).select_from(table)) for table in (WordWay, Word)]
    texts = " ".join(session.scalars(select(LogEntry.text)))
    assert (left, MAIL in texts, session.get_one(Event, desk.event.id).id) == ([0, 0], False, desk.event.id)
