"""Contacts: added once, standing for many players, with a link that dies when it should."""

import pytest
from sqlalchemy import select

from desk.errors import BadInput, Conflict
from desk.models import Contact, ContactPlayer, DropOff, HandOver, LogEntry
from desk.queries.players.contacts import contact_of_link, contacts_of, find_contacts, stood_for
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from desk.services.counter.handovers import hand_over
from desk.services.players import contacts
from desk.services.players.erasing import erase_player
from desk.services.players.erasing_contacts import erase_contact
from desk.trade.contacts import KINDS, USUAL, Leave
from tests import make
from tests.services.small_desk import small_desk


def form(**over: str) -> contacts.ContactForm:
    return contacts.ContactForm(**({"name": "Ana Ruiz", "kind": "coach"} | over))


def test_every_kind_says_what_it_usually_may() -> None:
    assert set(USUAL) == set(KINDS)


def test_a_coach_stands_for_many_players_and_is_found_by_letters(session) -> None:
    event = make.make_event(session)
    players = [make.make_player(session, event, name=name) for name in ("Bo", "Ada")]
    coach = contacts.add_contact(session, event.id, form(phone="+34 600 123 456"), acting=make.acting())
    for player in players:
        contacts.stand_for(session, event.id, coach.id, player.id, USUAL["coach"], acting=make.acting())
    contacts.stand_for(session, event.id, coach.id, players[0].id, Leave(may_pay=True), acting=make.acting())
    assert [(row.player, row.leave) for row in stood_for(session, coach)] == [
        ("Ada", USUAL["coach"]),
        ("Bo", Leave(may_pay=True)),
    ]
    (row,) = find_contacts(session, event, "rui")
    assert (row.name, row.code, row.players) == ("Ana Ruiz", "C01", ("Ada", "Bo"))
    with pytest.raises(Conflict, match="is a contact already"):
        contacts.add_contact(session, event.id, form(name="ana  ruiz"), acting=make.acting())


@pytest.mark.parametrize(
    ("over", "field"),
    [
        ({"name": " "}, "name"),
        ({"kind": "uncle"}, "kind"),
        ({"phone": "call me"}, "phone"),
        ({"email": "ana@example"}, "email"),
        ({"email": "ana@example.org, bo@example.org"}, "email"),
        ({"language": "xx"}, "language"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(session, over: dict[str, str], field: str) -> None:
    event = make.make_event(session)
    with pytest.raises(BadInput) as refused:
        contacts.add_contact(session, event.id, form(**over), acting=make.acting())
    assert list(refused.value.fields) == [field]


def test_a_new_link_ends_the_old_one_and_an_ended_contact_has_none(session) -> None:
    event = make.make_event(session)
    coach = make.make_contact(session, event, make.make_player(session, event))
    old = coach.token
    new = contacts.new_contact_link(session, event.id, coach.id, acting=make.acting())
    assert (contact_of_link(session, old), contact_of_link(session, new)) == (None, (coach.id, event.id))
    contacts.end_contact(session, event.id, coach.id, acting=make.acting())
    assert (contact_of_link(session, new), contact_of_link(session, coach.token)) == (None, None)
    with pytest.raises(Conflict, match="take it up again"):
        contacts.new_contact_link(session, event.id, coach.id, acting=make.acting())
    contacts.take_contact_up(session, event.id, coach.id, acting=make.acting())
    assert contact_of_link(session, coach.token) == (coach.id, event.id)


def test_a_drop_off_names_the_contact_who_brought_it(session) -> None:
    desk = small_desk(session)
    coach = make.make_contact(session, desk.event, desk.player, name="Ana Ruiz")
    visit = take_drop_off(session, desk.event.id, desk.form(brought_by_id=coach.id), acting=make.acting())
    assert (visit.brought_by, visit.brought_by_id) == ("Ana Ruiz", coach.id)
    other = make.make_contact(session, desk.event, desk.player, kind="federation")
    for who in (other, make.make_contact(session, desk.event)):
        again = desk.form(desk.racquet_form(1), key=f"{who.id}", brought_by_id=who.id)
        with pytest.raises(BadInput, match="not one who drops off"):
            take_drop_off(session, desk.event.id, again, acting=make.acting())
    typed = desk.form(desk.racquet_form(1), key="typed", brought_by=" A cousin ")
    assert take_drop_off(session, desk.event.id, typed, acting=make.acting()).brought_by == "A cousin"


def test_a_pickup_names_the_contact_who_took_it(session) -> None:
    desk = small_desk(session)
    coach = make.make_contact(session, desk.event, desk.player, name="Ana Ruiz")
    job = make.make_job(session, desk.player, state="strung")
    given = hand_over(session, desk.event.id, [job.id], collected_by="", contact_id=coach.id, acting=make.acting())
    assert (given.collected_by, given.collected_by_id) == ("Ana Ruiz", coach.id)
    contacts.end_contact(session, desk.event.id, coach.id, acting=make.acting())
    again = make.make_job(session, desk.player, state="strung")
    with pytest.raises(BadInput, match="not one who collects"):
        hand_over(session, desk.event.id, [again.id], collected_by="x", contact_id=coach.id, acting=make.acting())


def texts(session) -> str:
    found = [*session.scalars(select(LogEntry.text)), *session.scalars(select(DropOff.brought_by))]
    return "\n".join([*found, *session.scalars(select(HandOver.collected_by))])


def test_erasing_the_last_player_erases_the_coach_and_what_was_written_of_them(session) -> None:
    desk = small_desk(session)
    coach = contacts.add_contact(session, desk.event.id, form(email="ana@example.org"), acting=make.acting())
    agent = contacts.add_contact(session, desk.event.id, form(name="Lu Marr", kind="agent"), acting=make.acting())
    other = make.make_player(session, desk.event)
    for contact, player in ((coach, desk.player), (agent, desk.player), (agent, other)):
        contacts.stand_for(session, desk.event.id, contact.id, player.id, USUAL["coach"], acting=make.acting())
    visit = take_drop_off(session, desk.event.id, desk.form(brought_by_id=coach.id), acting=make.acting())
    jobs.cancel_job(session, desk.event.id, visit.jobs[0].id, "gone", acting=make.acting())
    desk.event.status = "closed"
    erase_player(session, desk.event.id, desk.player.id, acting=make.acting("Wed 23:00"))
    session.refresh(coach)
    assert (coach.name, coach.email, coach.phone, coach.erased_at) == ("C01", "", "", make.moment("Wed 23:00"))
    assert "Ruiz" not in texts(session)
    assert (agent.name, agent.erased_at) == ("Lu Marr", None)
    assert session.scalars(select(ContactPlayer.player_id)).all() == [other.id]
    assert contacts_of(session, desk.player.id) == []


def test_a_contact_is_erased_after_the_event_and_never_while_it_owes(session) -> None:
    event = make.make_event(session)
    agent = make.make_contact(session, event, make.make_player(session, event), name="Lu Marr", kind="agent")
    with pytest.raises(Conflict, match="is not over"):
        erase_contact(session, event.id, agent.id, acting=make.acting())
    event.status = "closed"
    erase_contact(session, event.id, agent.id, acting=make.acting("Wed 23:00"))
    assert session.scalars(select(Contact.name)).all() == [agent.code]
