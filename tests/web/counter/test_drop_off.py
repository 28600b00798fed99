"""Drop-off through its forms: racquets as last time, the ready time shown and kept, undo."""

import re
from decimal import Decimal

import pytest
from sqlalchemy import select

from desk.models import DropOff, Event, Job, PayRule, Player, Promise
from tests import make
from tests.services.small_desk import small_desk
from tests.web.counter.known_player import SHOWN, Counter, cards_of, jobs_of


def test_all_as_last_time_shows_the_ready_time_at_once(counter: Counter) -> None:
    page = counter.get(f"{counter.address}?take=all").text
    assert page.count('data-take="known"') == page.count('checked data-take="known"') == 3
    assert "Ready by" in page and len(SHOWN.findall(page)) == 3


def test_repeating_last_time_keeps_card_and_shown_time(counter: Counter) -> None:
    data = counter.shown(counter.taking(0, 1))
    answer = counter.post(counter.address, data | {"do": "accept", "request_key": "one"})
    assert answer.status_code == 303
    assert cards_of(counter) == [(Decimal("23.5"), Decimal("22.5"), "kg")] * 2
    promised = [at.isoformat() for at in counter.house.scalars(select(Promise.ready_at).order_by(Promise.job_id))]
    assert promised == [value for name, value in data.items() if name.startswith("shown-")]


def test_without_script_the_ready_time_is_shown_before_it_is_accepted(counter: Counter) -> None:
    answer = counter.post(counter.address, counter.taking(0) | {"do": "accept", "request_key": "one"})
    assert answer.status_code == 422
    assert "Here is the ready time" in answer.text and len(SHOWN.findall(answer.text)) == 1
    assert jobs_of(counter) == []


@pytest.mark.parametrize("address", ["/drop-off", "/drop-off/1", "/on-court", "/drop-off-sheet"])
def test_who_takes_in_after_the_day_was_closed_is_told(counter: Counter, address: str) -> None:
    assert "The day was closed" not in counter.get(address).text
    closed_at = make.moment("Mon 11:30")
    counter.house.write(lambda _session, event: setattr(event.days[0], "closed_at", closed_at))
    assert "The day was closed at 11:30." in counter.get(address).text


def test_a_time_that_has_passed_is_refused(counter: Counter) -> None:
    answer = counter.accept(counter.taking(0) | {"needed_by_kind": "time", "needed_by_time": "11:30"})
    assert answer.status_code == 422 and "this time has passed" in answer.text


def test_a_late_racquet_says_how_late(counter: Counter) -> None:
    data = counter.taking(0) | {"needed_by_kind": "time", "needed_by_time": "12:05"}
    said = counter.post(f"{counter.address}/ready", data).text
    found = re.search(r"(\d+) min late</strong>: planned (\d+):(\d+), too late from 12:05", said)
    late, hour, minute = map(int, found.groups())
    assert hour * 60 + minute - (12 * 60 + 5) == late


def test_on_court_counts_as_from_a_match_in_play(counter: Counter) -> None:
    counter.accept(counter.taking(0) | {"needed_by_kind": "on_court"})
    assert [(job.on_court, job.weight) for job in jobs_of(counter)] == [(True, 20)]


def test_a_time_told_that_is_later_than_the_need_is_said_before_it_is_accepted(counter: Counter) -> None:
    def ready(needed_by: str) -> str:
        data = counter.taking(0) | {"needed_by_kind": "time", "needed_by_time": needed_by}
        return counter.post(f"{counter.address}/ready", data).text

    told = re.search(r"(12:\d\d)</time>", ready("12:40")).group(1)
    just_before = f"12:{int(told[3:]) - 1:02d}"
    said = ready(just_before)
    assert f"{told} is later than it is needed, {just_before}." in said and "too close to promise" in said
    assert "is later than it is needed" not in ready("12:40")


def test_a_ready_time_that_got_later_is_shown_anew(counter: Counter) -> None:
    early = {f"shown-{counter.racquets[0]}": "2031-05-12T10:01:00+00:00"}
    answer = counter.post(counter.address, counter.taking(0) | early | {"do": "accept", "request_key": "one"})
    assert answer.status_code == 422 and "has become later since it was shown" in answer.text
    again = dict(SHOWN.findall(answer.text))
    assert counter.post(counter.address, counter.taking(0) | again | {"do": "accept"}).status_code == 303


def test_a_visit_is_taken_back_whole(counter: Counter) -> None:
    done = counter.accept(counter.taking(0, 1)).headers["Location"]
    assert counter.post(f"{done}/undo").status_code == 303
    with counter.house.database.reading() as session:
        notes = [job.changes[-1].note for job in session.scalars(select(Job).where(Job.state == "cancelled"))]
    assert notes == ["undone", "undone"]


def test_the_visit_shows_codes_and_promises(counter: Counter) -> None:
    page = counter.get(counter.accept(counter.taking(0, 1)).headers["Location"]).text
    assert all(job.code in page for job in jobs_of(counter))
    assert "Tell the player: ready by" in page


def test_a_racquet_at_the_desk_is_not_taken_in_again(counter: Counter) -> None:
    counter.accept(counter.taking(0))
    page = counter.get(counter.address).text
    assert "At the desk already" in page and f'name="r{counter.racquets[0]}-take"' not in page


def test_the_visit_of_another_event_is_not_shown(counter: Counter) -> None:
    def elsewhere(session, _event: Event) -> int:
        desk = small_desk(session)
        return make.make_drop_off(session, session.get_one(Player, desk.player.id)).id

    assert counter.get(f"/drop-off/taken/{counter.house.write(elsewhere)}").status_code == 404


def test_the_same_form_sent_twice_counts_once(counter: Counter) -> None:
    data = counter.shown(counter.taking(0)) | {"do": "accept", "request_key": "one"}
    first, second = counter.post(counter.address, data), counter.post(counter.address, data)
    assert len(counter.house.scalars(select(DropOff).where(DropOff.request_key == "one")).all()) == 1
    assert first.headers["Location"] == second.headers.get("Location")


def test_a_visit_taken_back_tells_no_time_and_prints_nothing(counter: Counter) -> None:
    done = counter.accept(counter.taking(0, 1)).headers["Location"]
    counter.post(f"{done}/undo")
    page = counter.get(done).text
    assert "2 racquets taken back" in page
    assert "ready by" not in page and "Print tags" not in page


def test_the_price_says_beforehand_who_else_pays(counter: Counter) -> None:
    def fill(session, event: Event) -> None:
        make.make_price(session, event, "labour", 2000)
        federation = make.make_contact(
            session, event, session.get_one(Player, counter.player_id), name="Federation", kind="federation"
        )
        session.add(PayRule(event_id=event.id, payer_id=federation.id, covers="labour", first_racquets=1))

    counter.house.write(fill)
    page = counter.post(f"{counter.address}/ready", counter.taking(0, 1)).text
    assert "About <strong>20.00 EUR</strong>; Federation pays 20.00 EUR" in page
