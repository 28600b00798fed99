"""Whose players: proposed, changed by hand with what it does, kept; wishes listed and kept."""

import pytest

from desk.models import Player, PlayerWish, Stringer
from tests import make
from tests.web.conftest import House


def own_stringers(house: House) -> dict[str, str | None]:
    """The name of each player's own stringer."""
    with house.database.reading() as session:
        names = {one.id: one.code for one in session.query(Stringer)}
        return {one.code: names.get(one.own_stringer_id) for one in session.query(Player)}


def halves(house: House, prefix: str) -> dict[str, str]:
    """A form that gives every other player to the first of the two stringers."""
    with house.database.reading() as session:
        first, second = [one.code for one in session.query(Stringer)]
    return {f"{prefix}{code}": second if i % 2 else first for i, code in enumerate(own_stringers(house))}


def test_whose_players_are_proposed_fairly_and_kept(week):
    client = week.as_role("lead")
    assert "Expected hours by day" in client.get("/rehearsal/whose").text
    sent = halves(week, "was-") | halves(week, "who-") | {"keep": ""}
    assert client.post("/rehearsal/whose", data=sent).status_code == 303
    assert sorted(own_stringers(week).values()) == sorted(halves(week, "").values())


def test_a_change_by_hand_shows_what_it_does_before_it_is_kept(week):
    sent = halves(week, "who-")
    sent = halves(week, "was-") | dict.fromkeys(sent, next(iter(sent.values()))) | {"look": ""}
    assert "not as good as the proposal" in week.as_role("lead").post("/rehearsal/whose", data=sent).text
    assert set(own_stringers(week).values()) == {None}


def test_a_stringer_who_is_gone_is_refused_with_what_to_do(week):
    gone = dict.fromkeys(halves(week, "who-"), "S77")
    assert "Open the page again" in week.as_role("lead").post("/rehearsal/whose", data=gone).text


def people(house: House) -> tuple[list[int], list[int]]:
    """The ids of players and stringers."""
    with house.database.reading() as session:
        return [one.id for one in session.query(Player)], [one.id for one in session.query(Stringer)]


def test_a_wish_is_entered_listed_and_kept_by_the_proposal(week):
    players, stringers = people(week)
    client = week.as_role("lead")
    for player, stringer in ((players[0], stringers[1]), (players[1], stringers[1])):
        sent = {"player": str(player), "kind": "with", "whom": f"s{stringer}"}
        assert client.post("/rehearsal/whose/wish", data=sent).status_code == 303
    apart = {"player": str(players[2]), "kind": "not_with", "whom": f"p{players[3]}"}
    assert client.post("/rehearsal/whose/wish", data=apart).status_code == 303
    page = client.get("/rehearsal/whose").text
    assert page.count(": kept") == 3 and "not kept" not in page


@pytest.mark.parametrize(
    ("over", "said"),
    [({"kind": "not_with"}, "would contradict"), ({}, "stands already"), ({"whom": "p{0}"}, "named twice")],
)
def test_a_wish_that_cannot_be_is_refused_at_the_form(week, over, said):
    players, stringers = people(week)
    client = week.as_role("lead")
    sent = {"player": str(players[0]), "kind": "with", "whom": f"s{stringers[0]}"}
    client.post("/rehearsal/whose/wish", data=sent)
    again = sent | {name: value.format(players[0]) for name, value in over.items()}
    answer = client.post("/rehearsal/whose/wish", data=again)
    assert answer.status_code == 422
    assert said in answer.text


def test_a_wish_is_taken_back(week):
    players, stringers = people(week)
    client = week.as_role("lead")
    client.post("/rehearsal/whose/wish", data={"player": players[0], "kind": "with", "whom": f"s{stringers[0]}"})
    with week.database.reading() as session:
        number = session.query(PlayerWish).one().id
    assert client.post(f"/rehearsal/whose/wish/{number}/remove").status_code == 303
    assert "Nobody has a wish" in client.get("/rehearsal/whose").text


def test_when_a_stringer_goes_only_their_players_change(week):
    client = week.as_role("lead")
    client.post("/rehearsal/whose", data=halves(week, "was-") | halves(week, "who-") | {"keep": ""})
    before = own_stringers(week)
    gone = sorted(set(before.values()))[0]

    def leave(session, event) -> None:
        third = make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)
        assert third.shifts
        stringer = session.query(Stringer).filter_by(event_id=event.id, code=gone).one()
        stringer.shifts.clear()

    week.write(leave)
    page = client.get("/rehearsal/whose").text
    assert "Without a stringer:" in page
    for code, who in before.items():
        assert (f'name="who-{code}"' in page) and who is not None
    kept = [code for code, who in before.items() if who != gone]
    chosen = {code: part_of(page, code) for code in before}
    assert {code: chosen[code] for code in kept} == {code: before[code] for code in kept}
    assert gone not in chosen.values()


def part_of(page: str, code: str) -> str:
    """The stringer selected for a player on the page."""
    select = page.split(f'name="who-{code}"')[1].split("</select>", maxsplit=1)[0]
    return select.split('" selected')[0].rsplit('value="', 1)[1]
