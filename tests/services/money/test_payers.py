"""Who pays: by rule when a racquet is strung, and by hand afterwards; each payer's account and invoice."""

from dataclasses import dataclass, field

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Contact, Event, Invoice, Player
from desk.models.database import Database
from desk.queries.money.charges import account, open_minor
from desk.queries.money.holders import Holder, open_of
from desk.queries.money.invoices import invoice_view
from desk.queries.money.payer_totals import payer_totals
from desk.queries.money.player_totals import player_totals
from desk.queries.money.visit_shares import visit_shares
from desk.services.money import charges, payers, payments
from desk.services.money.invoices import make_invoice
from desk.services.players.contacts import end_contact
from desk.trade.event.event_time import EventClock
from tests import make


@dataclass
class Office:
    """An event where stringing costs 20.00, a stencil 3.00, tax 19 %; two players of one federation."""

    session: Session
    event: Event
    players: list[Player] = field(default_factory=list)

    @property
    def at(self):
        return self.session, self.event.id

    def strung(self, player: Player, when: str = "Mon 12:00", **card: object) -> list[Charge]:
        job = make.make_job(self.session, player, card=card)
        return charges.charge_job(self.session, self.event, job, acting=make.acting(when))

    def rule(self, payer: Contact, *covers: str, **over: object) -> None:
        form = payers.PayRuleForm(payer_id=payer.id, covers=covers or ("labour",), **over)
        payers.add_pay_rule(*self.at, form, acting=make.acting())

    def owed(self, *who: Player | Contact) -> list[int]:
        return [open_of(self.session, self.event, Holder.of(one)) for one in who]


@pytest.fixture
def office(any_database: Database):
    with any_database.writing() as session:
        event = make.make_event(session, tax_basis_points=1900)
        for kind, amount in (("labour", 2000), ("stencil", 300)):
            make.make_price(session, event, kind, amount)
        yield Office(session, event, [make.make_player(session, event, name=name) for name in ("Ada", "Bo")])


@pytest.fixture
def federation(office: Office) -> Contact:
    return make.make_contact(office.session, office.event, *office.players, name="Federation", kind="federation")


def test_a_federation_pays_the_stringing_and_the_player_the_rest(office: Office, federation: Contact) -> None:
    ada, _ = office.players
    office.rule(federation, "labour")
    lines = office.strung(ada, stencil="red")
    assert [(line.kind, line.payer_id, line.amount_minor, line.tax_minor) for line in lines] == [
        ("labour", federation.id, 2000, 319),
        ("stencil", None, 300, 48),
    ]
    assert office.owed(federation, ada) == [2000, 300]
    assert open_minor(office.session, office.event, ada.id) == 300


def test_the_tournament_pays_the_first_two_racquets_of_each_player(office: Office) -> None:
    ada, bo = office.players
    tournament = payers.office(*office.at, "tournament", acting=make.acting())
    office.rule(tournament, "labour", "stencil", first_racquets=2)
    paid = [office.strung(player)[0].payer_id for player in (ada, ada, bo, ada)]
    assert paid == [tournament.id, tournament.id, tournament.id, None]


def test_a_racquet_taken_back_does_not_count_among_the_first(office: Office) -> None:
    ada, _ = office.players
    office.rule(payers.office(*office.at, "tournament", acting=make.acting()), first_racquets=1)
    (line,) = office.strung(ada)
    job = make.make_job(office.session, ada)
    line.job_id = job.id
    charges.undo_charge(office.session, office.event, job, acting=make.acting())
    assert office.strung(ada)[0].payer_id is not None
    assert office.strung(ada)[0].payer_id is None


def test_the_first_rule_that_fits_counts_and_an_ended_payer_pays_nothing_more(
    office: Office, federation: Contact
) -> None:
    ada, bo = office.players
    tournament = payers.office(*office.at, "tournament", acting=make.acting())
    office.rule(federation, player_id=ada.id)
    office.rule(tournament)
    assert [office.strung(player)[0].payer_id for player in (ada, bo)] == [federation.id, tournament.id]
    end_contact(*office.at, federation.id, acting=make.acting())
    assert office.strung(ada)[0].payer_id == tournament.id


def test_a_payer_of_other_players_is_no_payer_of_this_one(office: Office) -> None:
    ada, bo = office.players
    agent = make.make_contact(office.session, office.event, ada, kind="agent")
    office.rule(agent)
    assert office.strung(bo)[0].payer_id is None
    charge = office.strung(bo)[0]
    with pytest.raises(BadInput, match="does not pay for Bo"):
        payers.let_pay(*office.at, [charge.id], agent.id, acting=make.acting())
    coach = make.make_contact(office.session, office.event, ada)
    with pytest.raises(Conflict, match="pays for no player yet"):
        office.rule(coach)


def test_a_charge_goes_to_another_payer_by_further_lines(office: Office, federation: Contact) -> None:
    ada, _ = office.players
    (first,) = office.strung(ada)
    charges.correct_charge(*office.at, first.id, 1500, acting=make.acting(), reason="agreed")
    payers.let_pay(*office.at, [first.id], federation.id, acting=make.acting("Mon 13:00"))
    lines = office.session.scalars(select(Charge).order_by(Charge.id)).all()
    assert [(line.payer_id, line.amount_minor, line.tax_minor) for line in lines] == [
        (None, 2000, 319),
        (None, -500, -80),
        (None, -1500, -239),
        (federation.id, 1500, 239),
    ]
    assert office.owed(ada, federation) == [0, 1500]
    with pytest.raises(Conflict, match="came to nothing"):
        payers.let_pay(*office.at, [first.id], federation.id, acting=make.acting())
    payers.let_pay(*office.at, [lines[3].id], None, acting=make.acting())
    assert office.owed(ada, federation) == [1500, 0]
    assert player_totals(office.session, office.event)[0].charged_minor == 1500


def test_one_invoice_goes_over_all_players_of_a_payer_and_numbers_have_no_gap(
    office: Office, federation: Contact
) -> None:
    ada, bo = office.players
    office.rule(federation, "labour")
    for player in (bo, ada, bo):
        office.strung(player, stencil="red")
    numbers = [
        make_invoice(*office.at, holder, payer="x", acting=make.acting()).number
        for holder in (Holder.of(ada), Holder.of(federation), Holder.of(bo))
    ]
    assert numbers == [1, 2, 3]
    view = invoice_view(office.session, office.event, 2)
    assert (view.by_player, view.gross_minor) == ((("Ada", 2000), ("Bo", 4000)), 6000)
    assert [(one.net_minor, one.tax_minor) for one in view.totals] == [(5043, 957)]
    with pytest.raises(Conflict, match="stands on an invoice already"):
        make_invoice(*office.at, Holder.of(federation), payer="x", acting=make.acting())


def test_what_moved_before_any_invoice_stands_on_the_new_payers_only(office: Office, federation: Contact) -> None:
    ada, _ = office.players
    moved, kept = office.strung(ada)[0], office.strung(ada)[0]
    payers.let_pay(*office.at, [moved.id], federation.id, acting=make.acting())
    make_invoice(*office.at, Holder.of(ada), payer="Ada", acting=make.acting())
    assert [line.id for line, _, _ in invoice_view(office.session, office.event, 1).lines] == [kept.id]
    # Once it stood on an invoice, taking it over is a credit note of its own.
    payers.let_pay(*office.at, [kept.id], federation.id, acting=make.acting())
    make_invoice(*office.at, Holder.of(ada), payer="Ada", acting=make.acting())
    assert invoice_view(office.session, office.event, 2).gross_minor == -2000
    assert office.session.scalars(select(Invoice.number)).all() == [1, 2]


def test_a_payers_account_says_by_day_what_came_and_what_is_open(office: Office, federation: Contact) -> None:
    ada, bo = office.players
    office.rule(federation)
    office.strung(ada, "Mon 12:00")
    office.strung(bo, "Tue 09:00")
    holder = Holder.of(federation)
    payments.settle(*office.at, holder, 3000, method="transfer", acting=make.acting("Tue 18:00"))
    found = account(office.session, office.event, federation)
    days = found.days(EventClock(office.event.time_zone, make.FIRST_DAY))
    assert [(day.charged_minor, day.settled_minor, day.open_minor) for day in days] == [
        (2000, 0, 2000),
        (2000, 3000, 1000),
    ]
    assert [line.player for line in found.lines] == ["Ada", "Bo"]
    assert [(row.name, row.open_minor, row.players) for row in payer_totals(office.session, office.event)] == [
        ("Federation", 1000, ("Ada", "Bo"))
    ]
    with pytest.raises(Conflict, match="owes €10"):
        payments.settle(*office.at, holder, 1001, method="cash", acting=make.acting("Tue 19:00"))


def test_what_the_prize_money_pays_is_booked_to_it_on_the_referees_list(office: Office) -> None:
    ada, _ = office.players
    (line,) = office.strung(ada)
    prize = payers.office(*office.at, "prize_money", acting=make.acting())
    payers.let_pay(*office.at, [line.id], prize.id, acting=make.acting())
    (row,) = player_totals(office.session, office.event)
    assert (row.charged_minor, row.prize_money_minor, row.open_minor, row.racquets) == (2000, 2000, 0, 1)


def test_a_receipt_says_beforehand_who_pays_and_the_first_racquets_are_counted_within_the_visit(office: Office) -> None:
    ada, _ = office.players
    office.rule(payers.office(*office.at, "tournament", acting=make.acting()), first_racquets=2)
    jobs = [make.make_job(office.session, ada, card={"stencil": "red"}).id for _ in range(3)]
    shares = visit_shares(office.session, office.event, ada.id, jobs)
    assert [shares.own_minor(job) for job in jobs] == [300, 300, 2300]
    assert shares.others == {"Tournament": 4000}


def test_a_rule_may_hold_for_what_was_charged_before_but_for_no_invoice(office: Office, federation: Contact) -> None:
    ada, bo = office.players
    office.strung(ada, stencil="red")
    make_invoice(*office.at, Holder.of(ada), payer="Ada", acting=make.acting())
    for player in (ada, ada, ada, bo):
        office.strung(player, stencil="red")
    office.rule(federation, "labour", first_racquets=2, also_before=True)
    # Of Ada two racquets but the one on the invoice, of Bo one; the stencils stay with the players.
    assert office.owed(federation, ada, bo) == [6000, 4 * 300 + 2 * 2000, 300]
    assert office.strung(ada)[0].payer_id is None
    assert office.strung(bo)[0].payer_id == federation.id
