"""Paying back, writing off and invoices in the browser's words."""

import csv
from io import StringIO

import pytest
from sqlalchemy import select

from desk.models import Charge, Invoice, Player, Settlement
from desk.services.money import charges
from tests import make
from tests.web.conftest import House


@pytest.fixture
def owing(house: House) -> House:
    """A player who is charged 23.80 at 19 % and 10.70 at 7 %."""

    def fill(session, event) -> None:
        event.tax_basis_points = 1900
        player = make.make_player(session, event, name="Ada Orrin")
        for minor, rate in ((2380, None), (1070, 700)):
            charges.add_charge(
                session, event.id, player.id, minor, acting=make.acting(), text="Overgrip", tax_basis_points=rate
            )

    house.write(fill)
    return house


def who(house: House) -> int:
    return house.scalars(select(Player.id).where(Player.name == "Ada Orrin")).one()


def test_a_correction_after_payment_is_paid_back(owing):
    client, account = owing.as_role("desk"), f"/players/{who(owing)}/account"
    client.post(f"{account}/pay", data={"amount": "34.50", "method": "federation"})
    first = owing.scalars(select(Charge.id).order_by(Charge.id)).first()
    client.post(f"{account}/{first}/correct", data={"correct-amount": "11.90", "correct-reason": "agreed"})
    assert "11.90 EUR to pay back" in client.get(account).text
    client.post(f"{account}/pay-back", data={"back-amount": "11.90", "back-method": "cash"})
    page = client.get(account).text
    assert "0.00 EUR open" in page and "paid back by cash" in page
    lines = [(one.kind, one.method, one.amount_minor) for one in owing.scalars(select(Settlement))]
    assert lines == [("payment", "federation", 3450), ("refund", "cash", -1190)]


def test_only_the_lead_writes_off(owing):
    address = f"/players/{who(owing)}/account/write-off"
    sent = {"off-amount": "34.50", "off-reason": "left the event"}
    assert owing.as_role("desk").post(address, data=sent).status_code == 403
    page = owing.as_role("lead").post(address, data=sent, follow_redirects=True).text
    assert "0.00 EUR open" in page and "written off" in page


def test_an_invoice_is_printed_with_net_tax_and_gross_by_rate(owing):
    client = owing.as_role("desk")
    page = client.post(
        f"/players/{who(owing)}/invoice", data={"invoice-payer": "Ada Orrin\nHill 3"}, follow_redirects=True
    ).text
    for words in ("Ada Orrin<br>Hill 3<br>", "19 %", "20.00", "3.80", "7 %", "10.00", "0.70", "34.50 EUR"):
        assert words in page
    rows = list(csv.DictReader(StringIO(client.get("/invoice/1.csv").text)))
    assert [(row["tax_pct"], row["net"], row["tax"], row["gross"]) for row in rows] == [
        ("19", "20.00", "3.80", "23.80"),
        ("7", "10.00", "0.70", "10.70"),
    ]
    again = client.post(f"/players/{who(owing)}/invoice", data={"invoice-payer": "x"}, follow_redirects=True).text
    assert "stands on an invoice already" in again
    assert [one.number for one in owing.scalars(select(Invoice))] == [1]


def test_an_invoice_that_is_not_there_says_where_to_look(owing):
    reply = owing.as_role("desk").get("/invoice/9")
    assert reply.status_code == 404 and "There is no invoice 9" in reply.text


def test_a_price_with_a_tax_of_its_own_is_charged_with_it(house):
    client = house.as_role("lead")
    client.post("/settings/prices", data={"what": "labour job", "string_id": "0", "amount": "10.70", "tax": "7"})
    page = client.get("/settings/prices").text
    assert '<td class="figure">7</td>' in page


def test_a_federation_that_pays_labour_gets_one_account_and_one_invoice(house: House) -> None:
    def fill(session, event) -> tuple[int, int]:
        players = [make.make_player(session, event, name=name) for name in ("Ada Orrin", "Bo Lund")]
        for player in players:
            charges.add_charge(session, event.id, player.id, 2000, acting=make.acting(), text="Stringing")
        return make.make_contact(session, event, *players, name="Federation", kind="federation").id, players[0].id

    federation, ada = house.write(fill)
    client, lead = house.as_role("desk"), house.as_role("lead")
    rule = {"payer": str(federation), "covers": ["labour"]}
    assert client.post("/payers/rules", data=rule).status_code == 403
    page = lead.post("/payers/rules", data=rule, follow_redirects=True).text
    assert "<strong>Federation</strong> pays stringing" in page
    with house.database.reading() as session:
        lines = session.scalars(select(Charge.id).order_by(Charge.id)).all()
        players = session.scalars(select(Charge.player_id).order_by(Charge.id)).all()
    for line, player in zip(lines, players, strict=True):
        sent = {"other-charges": [line], "other-payer": str(federation)}
        page = client.post(f"/players/{player}/account/let-pay", data=sent, follow_redirects=True).text
        assert "0.00 EUR open" in page and "What others pay" in page
    account = client.get(f"/payers/{federation}").text
    assert "40.00 EUR open" in account and "Bo Lund" in account and "prize money" not in account
    bill = client.post(
        f"/payers/{federation}/invoice", data={"invoice-payer": "Federation"}, follow_redirects=True
    ).text
    assert "Stringing for Ada Orrin, Bo Lund" in bill and "40.00 EUR" in bill
    paid = client.post(f"/payers/{federation}/pay", data={"amount": "40", "method": "transfer"}, follow_redirects=True)
    assert "0.00 EUR open" in paid.text and "paid by bank transfer" in paid.text
    assert client.get(f"/players/{ada}/account").status_code == 200
    assert client.post(f"/payers/{federation}/pay", data={"amount": "1", "method": "federation"}).status_code == 422
