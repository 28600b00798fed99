"""A player's page: alive by its link alone, in the phone's language, and about nobody else."""

from datetime import timedelta

import pytest
from icalendar import Calendar

from desk.models import Event, Player, Promise
from desk.services.acting import note_change
from desk.services.bench import jobs
from desk.services.players.players import new_token
from desk.services.promise import promises
from desk.services.team.team import call_in_absent
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene
from tests.web.statements import selects

WORDS = {
    "en": ("Ready to collect", "Is being strung now", "ready by", "Charges so far", "€61.00"),
    "es": ("Lista para recoger", "Se está encordando ahora", "lista antes de las", "Importe hasta ahora", "61,00\xa0€"),
    "fr": ("Prête à retirer", "En cours de cordage", "prête pour", "Frais à ce jour", "61,00\xa0€"),
    "de": ("Fertig zum Abholen", "Wird gerade bespannt", "zugesagt für", "Kosten bisher", "61,00\xa0€"),
    "it": ("Pronta per il ritiro", "In corso di incordatura", "pronta per le", "Spese finora", "61,00\xa0€"),
}


NOON = make.acting("Mon 12:00")


LEAD_INS = {
    "de": "Der Bespannservice schreibt:",
    "es": "El puesto ha escrito:",
    "fr": "Le stand a écrit\u00a0:",
    "it": "Il banco ha scritto:",
}


def link(day: scene.Scene, player: int = 2, more: str = "") -> str:
    return f"/p/{day.players[player].token}{more}"


@pytest.mark.parametrize("language", WORDS)
def test_the_page_speaks_the_language_of_the_phone(house: House, day: scene.Scene, language: str) -> None:
    answer = house.client().get(link(day), headers={"Accept-Language": f"{language}-CH,{language};q=0.9,xx;q=0.5"})
    assert [word for word in WORDS[language] if word not in answer.text] == []
    assert f'<html lang="{language}">' in answer.text
    assert "Accept-Language" in answer.headers["Vary"]


def test_a_chosen_language_goes_before_the_phones(house: House, day: scene.Scene) -> None:
    answer = house.client().get(link(day, more="?lang=it"), headers={"Accept-Language": "de"})
    assert "Pronta per il ritiro" in answer.text


def test_a_language_that_nobody_wrote_gets_english(house: House, day: scene.Scene) -> None:
    assert "Ready to collect" in house.client().get(link(day), headers={"Accept-Language": "ja"}).text


def test_numbers_have_the_languages_form(house: House, day: scene.Scene) -> None:
    assert "52.5 lb" in house.client().get(link(day, more="?lang=en")).text
    assert "52,5 lb" in house.client().get(link(day, more="?lang=de")).text


def test_nothing_of_other_players_stands_there(house: House, day: scene.Scene) -> None:
    page = house.client().get(link(day)).text
    others = [player for player in day.players if player is not day.players[2]]
    said = [player.name for player in others if player.name in page]
    said += [job.code for job in day.jobs if job.player_id != day.players[2].id and job.code in page]
    assert said == []


def test_the_page_is_not_indexed_and_withholds_where_it_was(house: House, day: scene.Scene) -> None:
    headers = house.client().get(link(day)).headers
    assert (headers["X-Robots-Tag"], headers["Referrer-Policy"]) == ("noindex, nofollow", "no-referrer")
    assert "Set-Cookie" not in headers


def test_a_changed_promise_stands_beside_the_first_with_its_reason(house: House, day: scene.Scene) -> None:
    job = day.in_state("waiting")[0]
    with house.database.writing() as session:
        promises.renew_promise(
            session, house.event_id, job.id, acting=make.acting("Mon 12:40"), ready_at=make.moment("Mon 14:10"),
            reason="a machine is being repaired",
        )  # fmt: skip
    page = house.client().get(link(day, more="?lang=en")).text
    assert "<s>13:22</s>" in page and "<strong>14:10</strong>" in page and "a machine is being repaired" in page
    german = house.client().get(link(day, more="?lang=de")).text
    assert 'Der Bespannservice schreibt: <span lang="en">a machine is being repaired</span>' in german
    assert "Tarn Poly 1.25 slate" in page and "Tarn Poly 1.25 slate" in german


def test_a_passed_promise_is_late_since_then(house: House, day: scene.Scene) -> None:
    assert "Late since 12:39" in house.client().get(link(day, 4, "?lang=en")).text


def test_a_held_racquet_says_why(house: House, day: scene.Scene) -> None:
    page = house.client().get(link(day, 3, "?lang=en")).text
    assert "On hold" in page and "grommet split at 2 o’clock" in page


@pytest.mark.parametrize("language", [one for one in WORDS if one != "en"])
def test_what_the_desk_wrote_is_marked_as_its_own_words_in_other_languages(house, day, language) -> None:
    page = house.client().get(link(day, 3, f"?lang={language}")).text
    wrote = LEAD_INS[language]
    assert f'{wrote} <span lang="en">grommet split at 2 o’clock' in page and "slate" in page


def test_a_dead_link_opens_a_kind_page(house: House, day: scene.Scene) -> None:
    with house.database.writing() as session:
        token = new_token(session, house.event_id, day.players[2].id, acting=make.acting())
    old = house.client().get(link(day), headers={"Accept-Language": "es"})
    assert (old.status_code, "Este enlace ya no funciona" in old.text) == (404, True)
    assert day.players[2].name not in old.text
    assert house.client().get(f"/p/{token}").status_code == 200
    assert house.client().get(link(day, more="/now/racquets")).status_code == 401


def test_what_others_do_is_a_304(house: House, day: scene.Scene) -> None:
    client, address = house.client(), link(day, more="/now/racquets")
    tag = client.get(address).headers["ETag"]
    with house.database.writing() as session:
        jobs.hold_job(session, house.event_id, day.in_state("waiting")[1].id, "no string", acting=make.acting())
    house.write(lambda session, event: make.set_clock(event, "Mon 12:46"))
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304


def test_what_happens_to_ones_own_racquet_is_news(house: House, day: scene.Scene) -> None:
    client, address = house.client(), link(day, more="/now/racquets")
    tag = client.get(address).headers["ETag"]
    with house.database.writing() as session:
        jobs.hold_job(session, house.event_id, day.in_state("waiting")[0].id, "no string", acting=make.acting())
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 200


def test_the_number_of_statements_does_not_grow_with_the_racquets(house: House, day: scene.Scene) -> None:
    counts = []
    for more in (1, 20):
        house.write(lambda session, event, more=more: _more(session, event, day, more))
        house.app.extensions.pop("kept_for_hall", None)
        # Who strings for whom is read once for all phones.
        house.client().get(link(day, 1, "/now/racquets"))
        with selects(house.database) as found:
            house.client().get(link(day, more="/now/racquets"))
        counts.append(len(found))
    assert counts[0] == counts[1] <= 12


def _more(session, event: Event, day: scene.Scene, count: int) -> None:
    for _ in range(count):
        job = make.make_job(session, session.merge(day.players[2]))
        session.add(Promise(job_id=job.id, ready_at=day.now + timedelta(hours=1), given_at=day.now, by="desk"))


@pytest.mark.outside
def test_the_calendar_file_is_read_back_by_another_library(house: House, day: scene.Scene) -> None:
    answer = house.client().get(link(day, more="/pickup.ics?lang=de"))
    assert answer.content_type == "text/calendar; charset=utf-8"
    events = Calendar.from_ical(answer.data).walk("VEVENT")
    assert [event.decoded("DTSTART") for event in events] == [make.moment("Mon 12:57"), make.moment("Mon 13:22")]
    assert [str(event["SUMMARY"]) for event in events] == ["1 Schläger abholen"] * 2
    assert "Hall B, behind court 3" in str(events[0]["LOCATION"])
    assert day.players[2].name not in answer.text and day.players[2].token not in answer.text


def test_the_page_says_who_strings_a_racquet_where_the_event_names_them(house: House, day: scene.Scene) -> None:
    def page(language: str) -> str:
        return house.client().get(link(day, 7, f"?lang={language}")).text

    assert "With Jana Hollweg" in page("en") and "as always" not in page("en")

    def string_one(session, event) -> None:
        bench = {"stringer_id": day.stringers[0].id, "machine_id": day.machines[0].id}
        spans = {"started_at": make.moment("Mon 09:10"), "finished_at": make.moment("Mon 09:30")}
        make.make_job(session, session.get_one(Player, day.players[7].id), state="handed_over", **bench, **spans)
        note_change(event)

    house.write(string_one)
    assert "With Jana Hollweg, as always" in page("en") and "Bei Jana Hollweg, wie immer" in page("de")
    assert "With Rui Castanheira this time, not with Jana Hollweg" in page("en")
    away = {"back_at": make.moment("Mon 15:00")}
    house.write(lambda session, event: call_in_absent(session, event.id, day.stringers[0].id, acting=NOON, **away))
    assert "With Rui Castanheira, not with Jana Hollweg, who is off until 15:00" in page("en")
    house.write(lambda _session, event: setattr(event, "names_stringers", False) or note_change(event))
    assert "Jana" not in page("en") and "Rui" not in page("en")
