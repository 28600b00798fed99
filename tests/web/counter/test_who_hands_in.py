"""Who hands in racquets: found, added, a namesake, and somebody who brings them for a player."""

from sqlalchemy import select

from desk.models import DropOff, Event, Player
from tests import make
from tests.web.counter.known_player import Counter


def test_a_few_letters_find_the_player(counter: Counter) -> None:
    counter.house.write(lambda session, event: make.make_player(session, event, name="Bo", search_name="bo"))
    assert "Ilka Torvane" in counter.get("/drop-off/players?q=tor").text
    assert "Ilka Torvane" not in counter.get("/drop-off/players?q=bo").text


def test_the_only_player_found_is_opened_without_script(counter: Counter) -> None:
    answer = counter.get("/drop-off?q=ilk")
    assert (answer.status_code, answer.headers["Location"]) == (303, counter.address)


def test_a_new_player_is_added_in_passing(counter: Counter) -> None:
    answer = counter.post("/drop-off/players", {"name": "Ya Lim"})
    assert answer.status_code == 303
    assert "has no racquet here yet" in counter.get(answer.headers["Location"]).text


def test_a_namesake_is_added_only_when_said(counter: Counter) -> None:
    refused = counter.post("/drop-off/players", {"name": "Ilka Torvane"})
    assert refused.status_code == 422 and "is a player already" in refused.text
    assert counter.post("/drop-off/players", {"name": "Ilka Torvane", "is_namesake": "y"}).status_code == 303


def test_who_brought_the_racquets_is_kept_and_leads_on_to_the_next_player(counter: Counter) -> None:
    def fill(session, event: Event) -> int:
        player = session.get_one(Player, counter.player_id)
        return make.make_contact(session, event, player, name="Rosalind Achterberg").id

    coach = counter.house.write(fill)
    sent = counter.shown(counter.taking(0, 1, who=str(coach))) | {"do": "accept", "request_key": "one"}
    answer = counter.post(f"{counter.address}?by={coach}&then={counter.player_id}", sent)
    assert answer.location.endswith(f"?by={coach}&then={counter.player_id}")
    assert "Tell Rosalind Achterberg: ready by" in counter.get(answer.location).text
    with counter.house.database.reading() as session:
        visit = session.scalars(select(DropOff).order_by(DropOff.id.desc())).first()
        assert (visit.brought_by, visit.brought_by_id, len(visit.jobs)) == ("Rosalind Achterberg", coach, 2)
