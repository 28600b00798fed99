"""Two days with a refund, a correction after closing, a write-off and two rates of tax, added up by hand."""

import json
from dataclasses import dataclass
from datetime import date
from io import BytesIO

import pytest
from jsonschema import Draft202012Validator
from openpyxl import load_workbook
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Charge, Event, Player
from desk.queries.close import usage_report
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.close.days import close_day
from desk.services.money import charges, payers, payments
from desk.services.money.invoices import make_invoice
from exports.files.jsonfile import write_json
from exports.files.schema import json_schema
from exports.files.workbook import write_workbook
from exports.report import UsageReport
from exports.rows.money import MoneyRow
from tests import make

MONDAY, TUESDAY = make.FIRST_DAY, date(2031, 5, 13)


@dataclass
class Till:
    """Players who are charged and pay by the clock."""

    session: Session
    event: Event

    def by(self, when: str) -> Acting:
        return Acting(by="desk", at=make.moment(when))

    def charge(self, player: Player, minor: int, when: str, rate: int | None = None) -> Charge:
        return charges.add_charge(
            self.session, self.event.id, player.id, minor, acting=self.by(when), text="Work", tax_basis_points=rate
        )

    def correct(self, charge: Charge, minor: int, when: str) -> None:
        charges.correct_charge(
            self.session, self.event.id, charge.id, minor, acting=self.by(when), reason="agreed with the coach"
        )

    def pay(self, player: Player, minor: int, method: str, when: str):
        return payments.settle(
            self.session, self.event.id, Holder.of(player), minor, method=method, acting=self.by(when)
        )

    def report(self, day: date | None) -> UsageReport:
        return usage_report(self.session, self.event, day, at=make.moment("Tue 22:00"))


@pytest.fixture
def till(database):
    """19 % by default, 7 % for what is eaten; Monday is closed at 22:00.

    Monday: Ada 23.80 at 19 % and 10.70 at 7 %, pays 34.50 in cash; Bo 59.50 at 19 %, 20.00 by card booked twice, the
    second by mistake; Cy 11.90 at 19 %.
    Tuesday: Ada's 23.80 corrected to 11.90, 11.90 paid back in cash; Bo 39.50 from prize money; Cy written off;
    Dee's federation pays 23.80.
    """
    with database.writing() as session:
        event = make.make_event(session, days=2, tax_basis_points=1900)
        till = Till(session, event)
        ada, bo, cy, dee = (make.make_player(session, event, name=name) for name in ("Ada", "Bo", "Cy", "Dee"))
        first = till.charge(ada, 2380, "Mon 10:00")
        till.charge(ada, 1070, "Mon 10:05", rate=700)
        till.pay(ada, 3450, "cash", "Mon 10:10")
        till.charge(bo, 5950, "Mon 11:00")
        till.pay(bo, 2000, "card", "Mon 11:05")
        twice = till.pay(bo, 2000, "card", "Mon 11:06")
        payments.take_back_settlement(session, event.id, twice.id, acting=till.by("Mon 11:07"))
        till.charge(cy, 1190, "Mon 12:00")
        close_day(session, event.id, event.days[0].id, acting=till.by("Mon 22:00"))
        till.correct(first, 1190, "Tue 09:00")
        payments.refund(session, event.id, Holder.of(ada), 1190, method="cash", acting=till.by("Tue 09:05"))
        till.pay(bo, 3950, "prize_money", "Tue 09:10")
        payments.write_off(session, event.id, Holder.of(cy), 1190, reason="left the event", acting=till.by("Tue 09:20"))
        till.charge(dee, 2380, "Tue 10:00")
        till.pay(dee, 2380, "federation", "Tue 10:05")
        yield till


def figures(row: MoneyRow) -> dict[str, int]:
    return {
        name.removesuffix("_minor"): getattr(row, name) for name in row.__dataclass_fields__ if name.endswith("_minor")
    }


def test_each_day_says_what_was_open_charged_received_and_given_up(till):
    monday, tuesday = till.report(None).money_by_day
    assert figures(monday) == {
        "brought_forward": 0,
        "charged": 10_590,  # 23.80 + 10.70 + 59.50 + 11.90
        "tax": 1590,  # 3.80 + 0.70 + 9.50 + 1.90
        "cash": 3450,
        "card": 2000,  # the second was taken back
        "transfer": 0,
        "prize_money": 0,
        "federation": 0,
        "refunded": 0,
        "written_off": 0,
        "carried_forward": 5140,  # Bo 39.50, Cy 11.90
    }
    assert figures(tuesday) == {
        "brought_forward": 5140,
        "charged": 1190,  # Dee 23.80, Ada's correction -11.90
        "tax": 190,  # 3.80 - 1.90
        "cash": 0,
        "card": 0,
        "transfer": 0,
        "prize_money": 3950,
        "federation": 2380,
        "refunded": 1190,
        "written_off": 1190,
        "carried_forward": 0,
    }


def test_a_day_alone_is_the_same_as_in_the_event(till):
    whole = till.report(None).money_by_day
    assert (*till.report(MONDAY).money_by_day, *till.report(TUESDAY).money_by_day) == whole


def test_what_comes_after_the_last_day_was_closed_has_a_row_of_its_own(till):
    """Dee's transfer comes the day after; Tuesday stays as it was signed, and the days still add up to the event."""
    session, event = till.session, till.event
    close_day(session, event.id, event.days[1].id, acting=till.by("Tue 22:00"))
    dee = session.scalar(select(Player).where(Player.name == "Dee"))
    till.charge(dee, 1190, "Wed 08:30")
    till.pay(dee, 1190, "transfer", "Wed 09:00")
    whole = usage_report(session, event, None, at=make.moment("Wed 10:00"))
    assert [row.day for row in whole.money_by_day] == [MONDAY, TUESDAY, None]
    after = figures(whole.money_by_day[2])
    assert {name: minor for name, minor in after.items() if minor} == {"charged": 1190, "tax": 190, "transfer": 1190}
    assert [row.figure for row in whole.cross_checks if row.differs] == []
    assert whole.summary.received_minor == sum(row.received_minor for row in whole.money_by_day)
    tuesday = usage_report(session, event, TUESDAY, at=make.moment("Wed 10:00"))
    assert (tuesday.corrections, tuesday.money_by_day) == ((), whole.money_by_day[1:2])
    money = load_workbook(BytesIO(write_workbook(whole)))["Money"]
    assert [row[0].value for row in money.iter_rows(min_row=4)][2:] == ["after the last day", "Together"]
    Draft202012Validator(json_schema()).validate(json.loads(write_json(whole)))


def test_net_tax_and_gross_stand_by_rate(till):
    rows = [(row.rate_pct, row.net_minor, row.tax_minor, row.gross_minor) for row in till.report(None).taxes]
    # 19 %: 23.80 + 59.50 + 11.90 - 11.90 + 23.80 = 107.10; 7 %: 10.70
    assert rows == [(19.0, 9000, 1710, 10_710), (7.0, 1000, 70, 1070)]


def test_the_closed_day_stays_and_every_total_agrees(till):
    monday, whole = till.report(MONDAY), till.report(None)
    assert monday.corrections == ()
    assert [row.figure for report in (monday, whole) for row in report.cross_checks if row.differs] == []


def test_the_referee_keeps_what_is_booked_and_what_is_open(till):
    monday, whole = till.report(MONDAY), till.report(None)
    assert [(row.player, row.booked_minor, row.open_minor) for row in monday.prize_money] == [
        ("Bo", 0, 3950),
        ("Cy", 0, 1190),
    ]
    assert [(row.player, row.otherwise_minor, row.booked_minor, row.open_minor) for row in whole.prize_money] == [
        ("Bo", 2000, 3950, 0)
    ]


def test_invoices_are_numbered_without_gaps_and_hold_each_charge_once(till):
    session, event = till.session, till.event
    players = {one.name: one for one in session.scalars(select(Player).where(Player.event_id == event.id))}
    made = [
        make_invoice(
            session, event.id, Holder.of(players[name]), payer=f"{name}\nStation Road 1", acting=till.by("Tue 12:00")
        )
        for name in ("Ada", "Bo")
    ]
    assert [one.number for one in made] == [1, 2]
    rows = till.report(TUESDAY).invoices
    assert [(row.number, row.payer, row.net_minor, row.tax_minor, row.gross_minor) for row in rows] == [
        (f"{event.slug}-0001", "Ada, Station Road 1", 2000, 260, 2260),
        (f"{event.slug}-0002", "Bo, Station Road 1", 5000, 950, 5950),
    ]
    with pytest.raises(Exception, match="stands on an invoice already"):
        make_invoice(session, event.id, Holder.of(players["Ada"]), payer="Ada", acting=till.by("Tue 12:10"))
    again = next(c for c in session.scalars(select(Charge).where(Charge.player_id == players["Bo"].id)))
    till.correct(again, 4760, "Tue 12:20")
    third = make_invoice(session, event.id, Holder.of(players["Bo"]), payer="Bo", acting=till.by("Tue 12:30"))
    assert (third.number, till.report(TUESDAY).invoices[2].gross_minor) == (3, -1190)


def test_nothing_is_paid_back_that_was_not_paid_too_much(till):
    dee = till.session.scalar(select(Player).where(Player.name == "Dee"))
    with pytest.raises(Exception, match=r"paid €0\.00 too much"):
        payments.refund(till.session, till.event.id, Holder.of(dee), 100, method="cash", acting=till.by("Tue 12:00"))
    with pytest.raises(Exception, match="say why"):
        payments.write_off(till.session, till.event.id, Holder.of(dee), 100, reason=" ", acting=till.by("Tue 12:00"))


def test_what_a_federation_pays_stands_on_its_own_account_and_the_days_still_add_up(till):
    session, event = till.session, till.event
    ada = session.scalars(select(Player).where(Player.event_id == event.id, Player.name == "Ada")).one()
    bo = session.scalars(select(Player).where(Player.event_id == event.id, Player.name == "Bo")).one()
    federation = make.make_contact(session, event, ada, bo, name="Federation of Norland", kind="federation")
    prize = payers.office(session, event.id, "prize_money", acting=till.by("Tue 11:00"))
    for payer, player in ((federation, ada), (federation, bo), (prize, bo)):
        charge = charges.add_charge(session, event.id, player.id, 1190, text="Grip", acting=till.by("Tue 11:00"))
        payers.let_pay(session, event.id, [charge.id], payer.id, acting=till.by("Tue 11:01"))
    payments.settle(session, event.id, Holder.of(federation), 2000, method="transfer", acting=till.by("Tue 11:30"))
    report = till.report(None)
    rows = {row.payer: row for row in report.charges}
    assert list(rows)[-2:] == ["Federation of Norland", "Prize money"]
    assert (rows["Federation of Norland"].stands_as, rows["Federation of Norland"].received_minor) == (
        "federation",
        2000,
    )
    assert (rows["Federation of Norland"].total_minor, rows["Federation of Norland"].carried_forward_minor) == (
        2380,
        380,
    )
    assert sum(row.carried_forward_minor for row in report.charges) == report.summary.carried_forward_minor
    assert report.money_by_day[-1].transfer_minor == 2000
    assert [one for one in report.cross_checks if abs(one.first - one.second) > one.tolerance] == []
    kept = next(row for row in report.prize_money if row.player == "Bo")
    assert kept.booked_minor == 3950 + 1190  # what was booked by hand before, and what the prize money took over
