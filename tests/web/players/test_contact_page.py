"""A coach's page, the drop-offs of several players one after another, and who takes the racquets."""

import re

import pytest
from sqlalchemy import select

from desk.models import Contact, HandOver
from tests import make
from tests.web.conftest import House
from tests.web.scenes.scene import Scene


def test_a_coach_sees_the_racquets_of_their_players_by_name_and_no_price(house: House, day: Scene) -> None:
    page = house.client().get(f"/for/{day.contacts[0].token}").text
    for name in ("Bo Arnqvist", "Oksana Petrichenko", "Ilka Torvane-Mees"):
        assert f"<h2>{name}</h2>" in page
    mine = {player.id for player in (day.players[one] for one in (0, 1, 2, 4))}
    for job in day.jobs:
        here = job.state not in ("handed_over", "cancelled")
        assert (job.code in page) == (here and job.player_id in mine), job.code
    for name in ("Pia Kjeldgaard", "Ngozi Adeyemi-Walsh", "EUR", "€"):
        assert name not in page


def test_prices_stand_there_where_the_contact_may_see_them(house: House, day: Scene) -> None:
    page = house.client().get(f"/for/{day.contacts[1].token}?lang=en").text
    assert "What you pay" in page and "€7.00" in page  # the grip that it pays
    assert (page.count(">Stringing <"), page.count(">String <")) == (2, 2)  # two racquets that Bo pays


def test_an_unchanged_page_is_a_304_and_a_dead_link_says_so(house: House, day: Scene) -> None:
    client, address = house.client(), f"/for/{day.contacts[0].token}/now/racquets"
    first = client.get(address)
    assert client.get(address, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304
    house.as_role("lead").post(f"/contacts/{day.contacts[0].id}/link")
    assert client.get(address).status_code == 401
    dead = client.get(f"/for/{day.contacts[0].token}")
    assert (dead.status_code, "This link no longer works" in dead.text) == (404, True)


def test_only_the_lead_ends_a_contact(house: House, day: Scene) -> None:
    address = f"/contacts/{day.contacts[0].id}/end"
    assert house.as_role("desk").post(address).status_code == 403
    assert "Ended" in house.as_role("lead").post(address, follow_redirects=True).text


def test_a_coach_of_two_players_drops_off_one_after_the_other(house: House, day: Scene) -> None:
    client, coach = house.as_role("desk"), day.contacts[0].id
    ilka, oksana = day.players[0].id, day.players[4].id
    house.write(lambda session, _event: make.make_racquet(session, day.players[4]))
    first = client.get(f"/contacts/{coach}/drop-off?player={ilka}&player={oksana}&player={day.players[7].id}")
    assert first.location == f"/drop-off/{ilka}?by={coach}&then={oksana}&take=all"
    page = client.get(first.location).text
    assert re.search(rf'<input checked id="who-\d" name="who" type="radio" value="{coach}">', page)
    assert f'action="/drop-off/{ilka}?by={coach}&amp;then={oksana}"' in page
    done = client.get(f"/drop-off/taken/{day.jobs[0].drop_off_id}?by={coach}&then={oksana}").text
    assert "Next: Oksana Petrichenko" in done and f"/drop-off/{oksana}?take=all&amp;by={coach}" in done
    last = client.get(f"/drop-off/taken/{day.jobs[0].drop_off_id}?by={coach}").text
    assert "Back to Rosalind Achterberg" in last


def test_contacts_of_the_player_are_offered_first_at_pickup(house: House, day: Scene) -> None:
    client, bo, coach = house.as_role("desk"), day.players[1], day.contacts[0]
    page = client.get(f"/pickup/{bo.id}").text
    assert page.index("Bo Arnqvist</span>") < page.index("Rosalind Achterberg, coach</span>")
    job = next(job for job in day.in_state("strung") if job.player_id == bo.id)
    sent = {"jobs": [job.id], "who": f"contact {coach.id}", "payment": "account"}
    assert (
        "Handed over to Rosalind Achterberg, coach"
        in client.post(f"/pickup/{bo.id}", data=sent, follow_redirects=True).text
    )
    with house.database.reading() as session:
        given = session.scalars(select(HandOver)).one()
        assert (given.collected_by, given.collected_by_id) == ("Rosalind Achterberg", coach.id)


def test_a_contact_is_added_from_the_player_with_what_its_kind_usually_may(house: House, day: Scene) -> None:
    client, pia = house.as_role("desk"), day.players[7]
    sent = {"name": "Uma Steen", "kind": "partner", "language": "de"}
    page = client.post(f"/contacts?player={pia.id}", data=sent, follow_redirects=True).text
    assert "drops off, collects" in page
    with house.database.reading() as session:
        made = session.scalars(select(Contact).where(Contact.name == "Uma Steen")).one()
        assert [(link.player_id, link.may_collect, link.may_pay) for link in made.players] == [(pia.id, True, False)]
    found = client.get("/search?q=uma").text
    assert f'href="/contacts/{made.id}"' in found


def test_the_code_on_the_printed_link_opens_the_contact_at_the_desk(house: House, day: Scene) -> None:
    link = house.as_role("desk").get(f"/contacts/{day.contacts[0].id}/link").text
    token = re.search(r"/for/([\w-]+)", link).group(1)
    answer = house.as_role("desk").get(f"/tag?code=http://desk/for/{token}")
    assert answer.location == f"/contacts/{day.contacts[0].id}"


def test_a_coach_takes_the_racquets_of_several_players_at_once(house: House, day: Scene) -> None:
    client, coach = house.as_role("desk"), day.contacts[0]
    page = client.get(f"/contacts/{coach.id}").text
    jobs = [job for job in day.in_state("strung") if job.player_id in {day.players[one].id for one in (1, 2)}]
    assert all(job.code in page for job in jobs) and f"Hand over {len(jobs)}" in page
    assert client.post(f"/contacts/{coach.id}/hand-over", data={"jobs": [job.id for job in jobs]}).status_code == 303
    with house.database.reading() as session:
        given = session.scalars(select(HandOver).order_by(HandOver.player_id)).all()
        assert [(one.player_id, one.collected_by_id) for one in given] == [
            (day.players[1].id, coach.id),
            (day.players[2].id, coach.id),
        ]
    again = client.post(f"/contacts/{coach.id}/hand-over", data={"jobs": [jobs[0].id]})
    assert (again.status_code, "only a strung one can be handed over" in again.text) == (422, True)


@pytest.mark.parametrize(
    ("language", "sentences"),
    [
        ("en", ("Bo Arnqvist still has to pay €61.00", "What you pay")),
        ("es", ("Bo Arnqvist tiene pendientes 61,00 €", "Lo que paga usted")),
        ("fr", ("Bo Arnqvist doit encore 61,00 €", "Ce que vous prenez en charge")),
        ("de", ("Bo Arnqvist muss noch 61,00 € zahlen", "Was Sie übernehmen")),
        ("it", ("Bo Arnqvist deve ancora pagare 61,00 €", "A Suo carico")),
    ],
)
def test_the_page_speaks_the_language_of_the_phone(
    house: House, day: Scene, language: str, sentences: tuple[str, ...]
) -> None:
    page = house.client().get(f"/for/{day.contacts[1].token}", headers={"Accept-Language": language}).text
    plain = page.replace("\xa0", " ").replace("\u202f", " ")
    assert [sentence for sentence in sentences if sentence not in plain] == []
