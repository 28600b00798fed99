"""Pickup: from a tag or a name to the hand-over, its charges, and back again."""

from sqlalchemy import select

from desk.models import HandOver, Job, Settlement
from tests.web.conftest import House
from tests.web.scenes import scene


def ready(day: scene.Scene) -> list[Job]:
    """Return the two strung racquets of the first player in the list of uncollected ones."""
    first = day.in_state("strung")[0]
    return [job for job in day.in_state("strung") if job.player_id == first.player_id]


def test_a_typed_tag_leads_to_all_that_is_ready_for_its_player(house: House, day: scene.Scene) -> None:
    client, jobs = house.as_role("desk"), ready(day)
    answer = client.get("/pickup", query_string={"q": jobs[0].code.lower()}, follow_redirects=True)
    assert all(job.code in answer.text for job in jobs)
    assert "2 ready" in answer.text


def test_letters_of_a_name_without_its_accents_find_the_player(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").get("/pickup?q=tomas")
    assert answer.headers["Location"].endswith(f"/pickup/{day.players[5].id}")


def test_nothing_found_says_what_to_try(house: House, day: scene.Scene) -> None:
    assert "No racquet of “zzz” is at the desk" in house.as_role("desk").get("/pickup?q=zzz").text


def test_a_hand_over_names_who_took_them(house: House, day: scene.Scene) -> None:
    jobs = ready(day)
    answer = house.as_role("desk").post(
        f"/pickup/{jobs[0].player_id}",
        data={"jobs": [job.id for job in jobs], "collected_by": "Coach Ree", "payment": "account"},
    )
    assert answer.status_code == 303
    with house.database.reading() as session:
        given = session.scalars(select(HandOver)).one()
        assert (given.collected_by, given.by) == ("Coach Ree", "desk")
        assert {session.get_one(Job, job.id).state for job in jobs} == {"handed_over"}


def test_a_hand_over_to_nobody_is_refused_with_the_form_as_it_was(house: House, day: scene.Scene) -> None:
    jobs = ready(day)
    answer = house.as_role("desk").post(
        f"/pickup/{jobs[0].player_id}", data={"jobs": [jobs[1].id], "payment": "cash", "collected_by": " "}
    )
    assert answer.status_code == 422
    assert "Say who takes the racquets" in answer.text
    assert f'value="{jobs[0].id}">' in answer.text and f'value="{jobs[1].id}" checked>' in answer.text


def test_charges_are_settled_with_the_hand_over(house: House, day: scene.Scene) -> None:
    jobs = ready(day)
    house.as_role("desk").post(
        f"/pickup/{jobs[0].player_id}",
        data={"jobs": [jobs[0].id], "who": day.players[1].name, "payment": "cash"},
    )
    paid = house.scalars(select(Settlement)).one()
    assert (paid.amount_minor, paid.method) == (6100, "cash")


def test_a_hand_over_is_taken_back(house: House, day: scene.Scene) -> None:
    client, jobs = house.as_role("desk"), ready(day)
    client.post(f"/pickup/{jobs[0].player_id}", data={"jobs": [jobs[0].id], "collected_by": "x", "payment": "account"})
    given = house.scalars(select(HandOver.id)).one()
    assert client.post(f"/pickup/undo/{given}").status_code == 303
    assert house.get(Job, jobs[0].id).state == "strung"


def test_the_longest_wait_stands_first(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get("/pickup").text
    names = [day.players[of].name for of in (1, 2, 6)]
    assert [page.index(name) for name in names] == sorted(page.index(name) for name in names)


def test_an_empty_counter_says_what_will_appear(house: House) -> None:
    assert "Nothing waits to be collected" in house.as_role("desk").get("/pickup").text
