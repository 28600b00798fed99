"""Every screen and every address that is read asks as many statements for much more of everything as for little."""

import pytest
from sqlalchemy import select

from desk.models import (
    Charge,
    Court,
    Event,
    EventDay,
    Job,
    Machine,
    MachineCheck,
    Match,
    Player,
    Reel,
    Stringer,
    StringType,
)
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.money.invoices import make_invoice
from desk.services.word.word_ways import Asked, ask
from tests import make
from tests.web.browser.screens import SCREENS
from tests.web.conftest import House
from tests.web.scenes import full_house
from tests.web.statements import selects

pytestmark = pytest.mark.slow

FEW, MORE = 20, 60
# Files that are being made, and pages of a trusted device or a fresh account, are not screens of racquets.
WITHOUT_A_ROW = {
    "static",
    "sign_in.pin",
    "sign_in.welcome",
    "sheets.making",
    "sheets.progress",
    "sheets.made",
    "sheets.file",
    "rehearsal.file",
    "rehearsal.order",
}


def _large(house: House):
    filled = house.write(lambda session, event: full_house.fill(session, event, jobs=60, stringers=6))
    house.write(lambda session, event: full_house.add_jobs(session, event, FEW))
    return filled


def _parts(session, event: Event) -> dict[str, object]:
    """Return what fills the parts of an address: the first row of each kind."""
    job = session.scalars(select(Job).where(Job.event_id == event.id, Job.state == "strung").order_by(Job.id)).first()
    tables = {"stringer_id": Stringer, "machine_id": Machine, "reel_id": Reel, "match_id": Match, "day_id": EventDay}
    first = {name: session.scalar(select(table.id).order_by(table.id).limit(1)) for name, table in tables.items()}
    charge = session.scalar(select(Charge.id).limit(1))
    player = session.get_one(Player, job.player_id)
    acting = Acting(by="lead", at=make.moment("Mon 12:00"))
    payer_id = session.get_one(Charge, charge).player_id
    way = ask(
        session,
        event.id,
        Asked(kind="mail", address="a@example.org", language="en", player_id=player.id),
        acting=acting,
    )
    contact = make.make_contact(session, event, player, may_pay=True, sees_prices=True)
    number = make_invoice(session, event.id, Holder(player_id=payer_id), payer="Somebody", acting=acting).number
    return first | {
        "number": number, "stop_token": way.stop_token, "whose": "p",
        "contact_id": contact.id, "contact_token": contact.token,
        "job_id": job.id, "player_id": player.id, "token": player.token, "code": job.code, "slug": event.slug,
        "drop_off_id": job.drop_off_id, "frame_id": job.racquet.frame_id, "charge_id": charge,
    }  # fmt: skip


def _read_addresses(house: House) -> list[tuple[str | None, str]]:
    parts = house.write(_parts)
    urls = house.app.url_map.bind("localhost")
    rules = [rule for rule in house.app.url_map.iter_rules() if "GET" in (rule.methods or ())]
    return [
        ("lead", urls.build(rule.endpoint, {name: parts[name] for name in rule.arguments}))
        for rule in rules
        if rule.endpoint not in WITHOUT_A_ROW
    ]


def _more(session, event: Event) -> None:
    """Add racquets, and some of whatever else a screen may list."""
    full_house.add_jobs(session, event, MORE)
    court, string = (session.scalars(select(table).order_by(table.id)).first() for table in (Court, StringType))
    for number in range(12):
        make.make_stringer(session, event)
        make.make_machine(session, event)
        make.make_reel(session, string)
        make.make_string(session, event, name=f"String {number}")
        players = make.make_player(session, event), make.make_player(session, event)
        make.make_match(session, court, day=event.days[0], players=players)
        session.add(MachineCheck(event_id=event.id, name=f"Check {number}", every_racquets=1))


def test_no_screen_asks_more_statements_for_more_of_anything(house: House) -> None:
    filled = _large(house)
    asked = _read_addresses(house) + [(screen.role, screen.address(filled)) for screen in SCREENS]
    asked += [("lead", "/drop-off/players?q=o"), ("lead", "/pickup?q=e")]
    before = _counts(house, asked)
    house.write(_more)
    after = _counts(house, asked)
    assert {where: (before[where], after[where]) for where in before if before[where] != after[where]} == {}


def _counts(house: House, asked: list[tuple[str | None, str]]) -> dict[tuple[str | None, str], int]:
    counts, clients = {}, {role: house.as_role(role) for role in {role for role, _ in asked}}
    for role, where in asked:
        with selects(house.database) as found:
            assert clients[role].get(where).status_code < 400, where
        counts[role, where] = len(found)
    return counts
