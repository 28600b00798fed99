"""The desk's list of what was told, and a player's ways entered at the desk."""

from sqlalchemy import select

from desk.models import Word, WordWay
from desk.web.word.heard import SILENT_SECONDS, SenderWatch
from tests.web.conftest import House
from tests.web.scenes import scene


def word(house: House, state: str) -> Word:
    return house.scalars(select(Word).where(Word.state == state)).one()


def test_the_list_says_what_failed_and_why_what_waits_and_what_was_sent(house: House, day: scene.Scene) -> None:
    page = house.as_role("lead").get("/word").text
    said = (
        "2 messages may not have arrived",
        "the push service refused it (answer 403)",
        "the mail server gave no answer (no answer in time); it may have arrived",
        "goes at",
        "overtaken",
    )
    assert [text for text in said if text not in page] == []
    assert "example.org" not in page


def test_home_names_what_did_not_arrive(house: House, day: scene.Scene) -> None:
    assert "2 messages" in house.as_role("lead").get("/now").text


def test_what_failed_is_sent_again_or_given_up(house: House, day: scene.Scene) -> None:
    client, failed, unsure = house.as_role("desk"), word(house, "failed"), word(house, "uncertain")
    assert client.post(f"/word/{failed.id}/again").status_code == 303
    assert client.post(f"/word/{unsure.id}/give-up").status_code == 303
    states = [house.get(Word, one.id).state for one in (failed, unsure)]
    assert states == ["waiting", "dropped"]
    sent = word(house, "sent")
    assert client.post(f"/word/{sent.id}/again").status_code == 409


def test_the_desk_enters_an_address_and_ends_it(house: House, day: scene.Scene) -> None:
    client, player = house.as_role("desk"), day.players[0]
    wrong = client.post(f"/players/{player.id}/word", data={"address": "ilka", "language": "it"})
    assert (wrong.status_code, "give an address such as" in wrong.text) == (422, True)
    client.post(f"/players/{player.id}/word", data={"address": "ilka@example.org", "language": "it"})
    way = house.scalars(select(WordWay).where(WordWay.address == "ilka@example.org")).one()
    assert (way.player_id, way.language, way.by) == (player.id, "it", "desk")
    assert "ilka@example.org" in client.get(f"/players/{player.id}").text
    client.post(f"/word/ways/{way.id}/end")
    assert "ilka@example.org" not in client.get(f"/players/{player.id}/word").text


def test_the_tag_says_what_was_told(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get(f"/tag/{day.in_state('strung')[0].code}").text
    assert [
        text for text in ("What was told", "told by e-mail", "could not be told on a phone") if text not in page
    ] == []


def test_a_sender_that_stands_still_is_noticed_whatever_the_clocks_say() -> None:
    clock = [0.0]
    watch = SenderWatch(now=lambda: clock[0])
    assert watch.silent_seconds(1) == 0
    clock[0] = SILENT_SECONDS
    assert watch.silent_seconds(1) == 0
    clock[0] = SILENT_SECONDS + 1
    assert watch.silent_seconds(1) == SILENT_SECONDS + 1
    assert watch.silent_seconds(2) == 0


def test_the_list_and_readiness_say_that_nothing_goes_out(house: House, day: scene.Scene) -> None:
    class Silent:
        def silent_seconds(self, _beats: int) -> float:
            return 125.0

    house.app.extensions["sender_watch"] = Silent()
    assert "the sender has not been heard for 2 min" in house.as_role("lead").get("/word").text
    assert "nothing is told: the sender is not heard" in house.client().get("/readyz").text
