"""The screen of the rehearsal: asked, played beside the request, kept, and held against what came."""

import time

import pytest
from click.testing import CliRunner

from desk.cli import main
from desk.models import Event, Player, Rehearsal, RehearsalRun
from desk.services.rehearsal.rehearsal_process import play_run
from desk.services.rehearsal.runs import ask_to_stop, begin_run
from desk.services.rehearsal.taking_over import take_over
from tests import make
from tests.web.conftest import House

FORM = {"teams": "as planned\n3 from 8 to 20", "times": "10", "on_time": "98", "days": "9", "rain": "0"}


def asked(house: House, **over: object) -> int:
    """The number of a run that is asked for with these fields."""
    typed = {"teams": FORM["teams"], "times": 10, "on_time": 98, "days": 9, "rain": 0.0} | over
    with house.database.writing() as session:
        return begin_run(session, house.event_id, typed, acting=make.acting("Mon 12:00")).id


def played(house: House, **over: object) -> str:
    """The page after a rehearsal of these fields has been played."""
    play_run(house.database, asked(house, **over), workers=1)
    assert run_of(house).trouble == ""
    return house.as_role("lead").get("/rehearsal").text


def run_of(house: House) -> RehearsalRun:
    with house.database.reading() as session:
        return session.query(RehearsalRun).order_by(RehearsalRun.id.desc()).first()


@pytest.mark.slow
def test_a_rehearsal_is_played_by_a_process_of_its_own_and_outlives_the_page(week):
    client = week.as_role("lead")
    assert client.post("/rehearsal", data=FORM).status_code == 303
    assert "It goes on when you leave this page." in client.get("/rehearsal").text
    assert "played already" in client.post("/rehearsal", data=FORM).text
    for _ in range(900):
        if "It is played." in client.get("/rehearsal/progress").text:
            break
        time.sleep(0.1)
    assert (run_of(week).trouble, run_of(week).done) == ("", 10)
    assert "Played 10 times." in week.as_role("lead").get("/rehearsal").text


def test_a_rehearsal_that_is_to_stop_keeps_what_was_there(week):
    played(week)
    number = asked(week, times=500)
    with week.database.writing() as session:
        ask_to_stop(session, week.event_id, number, plays=True)
    play_run(week.database, number, workers=1)
    assert "It was stopped" in run_of(week).trouble
    assert run_of(week).done < 500
    page = week.as_role("lead").get("/rehearsal").text
    assert "It was stopped" in page and "Played 10 times." in page


def test_one_that_nobody_plays_any_more_can_be_stopped_and_asked_for_again(week):
    number = asked(week)
    with week.database.writing() as session:
        ask_to_stop(session, week.event_id, number, plays=False)
    assert run_of(week).is_over
    assert asked(week) > number


def test_the_button_stops_a_run(week):
    number = asked(week)
    assert week.as_role("lead").post(f"/rehearsal/{number}/stop").status_code == 303
    assert run_of(week).stop_asked


def test_before_any_rehearsal_the_page_says_what_it_is_for(week):
    page = week.as_role("lead").get("/rehearsal").text
    assert "It says which team it takes" in page
    assert "Was it right?" not in page


def test_a_rehearsal_shows_teams_side_by_side_with_pictures_and_files(week):
    page = played(week)
    assert "As planned" in page and "3 from 8 to 20" in page
    assert "Played 10 times." in page
    assert page.count("<svg") >= 2
    client = week.as_role("lead")
    assert client.get("/rehearsal/rehearsal.xlsx").data[:2] == b"PK"
    assert client.get("/rehearsal/rehearsal.json").json["replications"] == 10
    assert client.get("/rehearsal?team=3 from 8 to 20").text.count('aria-current="true"') == 1


def test_what_was_typed_stands_in_the_form_again(week):
    assert 'value="7"' in played(week, players=7)


def test_only_the_newest_rehearsals_are_kept(week):
    for _ in range(6):
        played(week, teams="as planned")
    with week.database.reading() as session:
        assert session.query(Rehearsal).count() == 5


@pytest.mark.parametrize(
    ("over", "said"),
    [
        ({"teams": "some people"}, "is no team"),
        ({"teams": "\n".join(f"{n} from 8 to 20" for n in range(1, 9))}, "at most 6"),
        ({"matches": "many"}, "whole numbers with commas"),
        ({"times": "1"}, "10 and 500"),
    ],
)
def test_what_cannot_be_rehearsed_is_refused_at_the_form(week, over, said):
    answer = week.as_role("lead").post("/rehearsal", data=FORM | over)
    assert answer.status_code == 422
    assert said in answer.text


def test_files_are_not_there_before_a_rehearsal(week):
    assert week.as_role("lead").get("/rehearsal/rehearsal.xlsx").status_code == 404


def test_the_desks_own_figures_stand_beside_it_afterwards(week):
    played(week, teams="as planned")

    def twelve(session, event) -> None:
        player = session.query(Player).filter_by(event_id=event.id).first()
        for _ in range(12):
            make.make_job(session, player)

    week.write(twelve)
    page = week.as_role("lead").get("/rehearsal").text
    assert "Was it right?" in page
    assert "Racquets: <strong>" in page
    slug = week.get(Event, week.event_id).slug
    said = CliRunner().invoke(main, ["--database", week.database.url, "rehearse", slug, "--beside"])
    assert said.exit_code == 0, said.output
    assert "inside." in said.output


def test_the_order_for_the_supplier_is_there_with_the_rehearsal(week):
    client = week.as_role("lead")
    assert client.get("/rehearsal/order.xlsx").status_code == 404
    played(week, teams="as planned")
    assert client.get("/rehearsal/order.xlsx").data[:2] == b"PK"
    assert client.get("/rehearsal/order.csv").text.startswith('\ufeff"string"')


def test_cards_of_an_earlier_event_say_which_string_to_order(week):
    def known(session, event) -> None:
        before = make.make_event(session, slug="before", name="Harbour Week")
        player = session.query(Player).filter_by(event_id=event.id).first()
        make.make_job(session, make.make_player(session, before, name=player.name))
        take_over(session, event.id, session, before, ["cards"], acting=make.acting("Mon 07:00"))

    assert "No card is known yet" in played(week, teams="as planned")
    week.write(known)
    assert "For the supplier" in played(week, teams="as planned")
