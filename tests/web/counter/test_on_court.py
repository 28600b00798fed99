"""On court: who is in play stands first, and a racquet is in the queue by racquet and go."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest
from sqlalchemy import select

from desk.models import Event, Job, Match, StringType
from tests import make
from tests.web.conftest import House


@dataclass(frozen=True)
class Hall:
    """Two players on court, one who is not, each with a racquet strung before and one new."""

    house: House
    players: tuple[int, ...]
    racquets: tuple[tuple[int, int], ...]
    court_id: int

    def get(self, address: str):
        return self.house.as_role("desk").get(address)

    def send(self, player: int, racquets: list[int], **more: object):
        data = {"racquets": racquets, "court_id": self.court_id, "request_key": "one"} | more
        return self.house.as_role("desk").post(f"/on-court/{self.players[player]}", data=data)


def _fill(session, event: Event) -> tuple:
    event.calibration_required = False
    frame, string = make.make_frame(session, event), make.make_string(session, event)
    make.make_reel(session, string)
    for _ in range(2):
        make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)
    players, racquets = [], []
    for name in ("Bo Arn", "Ya Lim", "Pia Kjel"):
        player = make.make_player(session, event, name=name)
        own = [make.make_racquet(session, player, frame=frame) for _ in range(2)]
        card = {"mains_tension": Decimal("23.5"), "crosses_tension": Decimal("22.5"), "tension_unit": "kg"}
        make.make_job(session, player, racquet=own[0], state="handed_over", card=card)
        players.append(player)
        racquets.append((own[0].id, own[1].id))
    court = make.make_court(session, event, name="Court 2")
    started = {"state": "on_court", "started_at": make.moment("Mon 11:05")}
    make.make_match(session, court, day=event.days[0], players=players[:2], start="at 11:00", **started)
    return tuple(player.id for player in players), tuple(racquets), court.id


@pytest.fixture
def hall(furnished: Callable) -> Hall:
    house, made = furnished(_fill)
    return Hall(house, *made)


def test_what_is_taken_in_from_here_is_asked_for_a_court(hall: Hall) -> None:
    address = re.search(r'href="([^"]+)">No card yet: drop-off', hall.get("/on-court").text)
    assert address is not None
    page = hall.get(address[1].replace("&amp;", "&")).text
    assert re.search(r'<input[^>]*checked[^>]*value="on_court"', page)
    assert not re.search(r'<input[^>]*checked[^>]*value="on_court"', hall.get(f"/drop-off/{hall.players[0]}").text)


def test_where_nobody_is_in_play_the_name_is_typed_at_once(hall: Hall) -> None:
    def search() -> str:
        return re.search(r'<input id="q"[^>]*>', hall.get("/on-court").text)[0]

    assert "autofocus" not in search()
    hall.house.write(lambda session, _: session.query(Match).update({"state": "finished"}))
    assert "autofocus" in search()


def test_those_on_court_stand_first_and_others_are_found(hall: Hall) -> None:
    page = hall.get("/on-court").text
    assert "Bo Arn" in page and "Court 2 since 11:05" in page and "Pia Kjel" not in page
    assert "not on court now" in hall.get("/on-court/players?q=pia").text


def test_a_racquet_goes_out_as_last_time_from_its_court(hall: Hall) -> None:
    answer = hall.send(0, [hall.racquets[0][0]])
    assert answer.status_code == 303
    with hall.house.database.reading() as session:
        job = session.scalars(select(Job).where(Job.state == "waiting")).one()
        assert (job.on_court, job.weight, job.court_id) == (True, 20, hall.court_id)
        assert (job.card.mains_tension, job.card.tension_unit) == (Decimal("23.5"), "kg")


def test_the_wish_for_fresh_strings_comes_with_the_card(hall: Hall) -> None:
    def wish(session, _event: Event) -> None:
        for job in session.scalars(select(Job)):
            job.card.as_fresh = True

    hall.house.write(wish)
    hall.send(0, [hall.racquets[0][0]])
    with hall.house.database.reading() as session:
        assert session.scalars(select(Job).where(Job.state == "waiting")).one().card.as_fresh


def test_the_ready_time_is_shown_before_it_goes(hall: Hall) -> None:
    address = f"/on-court/{hall.players[0]}/ready"
    answer = hall.house.as_role("desk").post(address, data={"racquets": [hall.racquets[0][0]]})
    assert re.search(r"<time[^>]*>12:\d\d</time>", answer.text)
    assert hall.house.scalars(select(Job).where(Job.state == "waiting")).all() == []


@pytest.mark.parametrize(("material", "too_long"), [("polyester", False), ("natural_gut", True)])
def test_gut_says_before_it_goes_that_it_cannot_be_back_in_time(hall: Hall, material: str, too_long: bool) -> None:
    """Natural gut takes up to 30 minutes, three quarters of that on court: past a quarter of an hour by itself (CP)."""

    def string_it_with(session, event: Event) -> None:
        for string in session.scalars(select(StringType).where(StringType.event_id == event.id)):
            string.material = material

    hall.house.write(string_it_with)
    asked = {"racquets": [hall.racquets[0][0]]}
    page = hall.house.as_role("desk").post(f"/on-court/{hall.players[0]}/ready", data=asked).text
    assert ("Its bench time alone is 22 minutes: it cannot be back in 15." in page) == too_long
    assert ("cannot be back" in page) == too_long


def test_go_without_a_racquet_says_what_to_touch(hall: Hall) -> None:
    answer = hall.send(0, [])
    assert answer.status_code == 422 and "Touch the racquet" in answer.text


def test_a_racquet_without_a_card_leads_to_drop_off(hall: Hall) -> None:
    assert f"/drop-off/{hall.players[0]}?take={hall.racquets[0][1]}" in hall.get("/on-court").text
    assert "was not strung here yet" in hall.send(0, [hall.racquets[0][1]]).text


def test_the_same_go_twice_counts_once(hall: Hall) -> None:
    first, second = (hall.send(0, [hall.racquets[0][0]]) for _ in range(2))
    assert first.headers["Location"] == second.headers["Location"]


def _waiting(hall: Hall) -> Job:
    hall.house.write(lambda session, _: session.query(Match).update({"state": "scheduled"}))
    hall.send(0, [hall.racquets[0][0]], court_id="")
    (job,) = hall.house.scalars(select(Job).where(Job.state == "waiting")).all()
    hall.house.write(lambda session, _: session.query(Job).update({"on_court": False}))
    hall.house.write(lambda session, _: session.query(Match).update({"state": "on_court"}))
    return job


def test_a_waiting_racquet_is_called_for_by_one_touch_and_taken_back_by_another(hall: Hall) -> None:
    job = _waiting(hall)
    for page in ("/on-court", f"/tag/{job.code}", f"/players/{hall.players[0]}"):
        text = hall.get(page).text
        assert f'action="/on-court/racquet/{job.id}/call"' in text and "On court now" in text
    answer = hall.house.as_role("desk").post(f"/on-court/racquet/{job.id}/call", data={"next": f"/tag/{job.code}"})
    assert answer.headers["Location"] == f"/tag/{job.code}"
    text = hall.get("/on-court").text
    assert f'action="/on-court/racquet/{job.id}/take-back"' in text and "on court since 12:00" in text
    hall.house.as_role("desk").post(f"/on-court/racquet/{job.id}/take-back", data={})
    assert not hall.house.scalars(select(Job).where(Job.id == job.id)).one().on_court


def test_it_is_offered_neither_to_the_bench_nor_for_what_is_strung_or_not_in_play(hall: Hall) -> None:
    job = _waiting(hall)
    touch = f'action="/on-court/racquet/{job.id}/call"'
    assert touch in hall.get(f"/tag/{job.code}").text
    assert touch not in hall.house.as_role("stringer").get(f"/tag/{job.code}").text
    assert hall.house.as_role("stringer").post(f"/on-court/racquet/{job.id}/call", data={}).status_code == 403
    hall.house.write(lambda session, _: session.query(Match).update({"state": "finished"}))
    assert touch not in hall.get(f"/tag/{job.code}").text
    hall.house.write(lambda session, _: session.query(Match).update({"state": "on_court"}))
    hall.house.write(lambda session, _: session.get(Job, job.id).drop_off.jobs[0].__setattr__("state", "strung"))
    assert touch not in hall.get(f"/tag/{job.code}").text and touch not in hall.get("/on-court").text


def test_nobody_on_court_says_what_to_do(house: House) -> None:
    assert "No match is on court by the order of play" in house.as_role("desk").get("/on-court").text
