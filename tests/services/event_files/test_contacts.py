"""Contacts and rules who pays, read from an event's files and written back as they stand."""

from pathlib import Path

from sqlalchemy import select

from desk.models import Contact, Event, PayRule
from desk.models.database import Database
from desk.services.event_files import SO_FAR, read_event, store_event
from desk.services.event_files import write_event as write_records
from desk.services.players.contacts import end_contact
from desk.trade.contacts import USUAL, Leave
from tests import make
from tests.services.event_files.files import faults_of, write_event

FILES = {
    "contacts": (
        "code,name,kind,phone,email,language\n"
        "K1,Ana Ruiz,coach,+34 600 123 456,ana@example.org,es\n"
        "K2,Federation,federation,,,\n"
    ),
    "contact_players": (
        "contact,player,drops_off,collects,is_told,pays,sees_prices\nK1,P1,,,,,\nK1,P2,no,,,yes,\nK2,P1,,,,,\n"
    ),
    "pay_rules": "payer,covers,player,first_racquets\nK2,labour on_court,,3\nK1,everything,P2,\n",
}


def test_they_are_stored_with_what_is_usual_where_nothing_is_said(database: Database, tmp_path: Path) -> None:
    files = read_event(write_event(tmp_path, **FILES))
    with database.writing() as session:
        event = store_event(session, files, acting=make.acting())
        coach, federation = session.scalars(select(Contact).where(Contact.event_id == event.id).order_by(Contact.id))
        assert (coach.name, coach.search_name, coach.email, coach.language) == (
            "Ana Ruiz",
            "ana ruiz",
            "ana@example.org",
            "es",
        )
        found = [Leave(**{name: getattr(link, name) for name in Leave.__dataclass_fields__}) for link in coach.players]
        assert found == [USUAL["coach"], Leave(may_collect=True, is_told=True, may_pay=True)]
        rules = session.scalars(select(PayRule).order_by(PayRule.id)).all()
        assert [(rule.payer_id, rule.covers, rule.first_racquets) for rule in rules] == [
            (federation.id, "labour,on_court", 3),
            (coach.id, "labour,string,on_court,extra_work,stencil", None),
        ]


def test_they_are_written_back_and_one_who_ended_is_not(database: Database, tmp_path: Path) -> None:
    first, out = tmp_path / "first", tmp_path / "out"
    first.mkdir()
    files = read_event(write_event(first, **FILES))
    with database.writing() as session:
        event = store_event(session, files, acting=make.acting())
        write_records(session, session.get_one(Event, event.id), out)
        (out / SO_FAR).unlink()
        again = read_event(out)
        for name in ("contacts", "pay_rules"):
            assert [row.values for row in again.tables[name]] == [row.values for row in files.tables[name]]
        assert [row["pays"] for row in again.tables["contact_players"]] == [False, True, True]
        ended = session.scalars(select(Contact).where(Contact.code == "K2")).one()
        end_contact(session, event.id, ended.id, acting=make.acting())
        write_records(session, session.get_one(Event, event.id), tmp_path / "later")
        (tmp_path / "later" / SO_FAR).unlink()
        assert [row["code"] for row in read_event(tmp_path / "later").tables["contacts"]] == ["K1"]


def test_a_wrong_cell_is_named_with_its_row(tmp_path: Path) -> None:
    spoilt = {
        "contacts": "code,name,kind,email\nK1,Ana Ruiz,coach,ana at home\n",
        "contact_players": "contact,player\nK9,P1\n",
        "pay_rules": "payer,covers\nK1,beads\n",
    }
    faults = "\n".join(faults_of(write_event(tmp_path, **spoilt)))
    for words in (
        'contacts.csv row 2, column email: found "ana at home"; expected one address such as name@example.org',
        'contact_players.csv row 2, column contact: found "K9"',
        'pay_rules.csv row 2, column covers: found "beads"',
    ):
        assert words in faults
