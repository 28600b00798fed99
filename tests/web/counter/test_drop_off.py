"""Drop-off through its forms: player, racquets as last time or changed, ready time, undo."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest
from sqlalchemy import select

from desk.models import DropOff, Event, Job, JobCard, PayRule, Player, Promise, Racquet
from tests import make
from tests.services.small_desk import small_desk
from tests.web.conftest import House

SHOWN = re.compile(r'name="(shown-\d+)" value="([^"]+)"')


@dataclass(frozen=True)
class Counter:
    """The desk's own client at a counter, with a player who has three racquets strung before and one new."""

    house: House
    player_id: int
    racquets: tuple[int, ...]
    string_id: int

    def get(self, address: str, **options):
        return self.house.as_role("desk").get(address, **options)

    def post(self, address: str, data: dict | None = None):
        return self.house.as_role("desk").post(address, data=data or {})

    @property
    def address(self) -> str:
        return f"/drop-off/{self.player_id}"

    def shown(self, data: dict) -> dict:
        """Return DATA with the ready times that the counter is shown for it."""
        return data | dict(SHOWN.findall(self.post(f"{self.address}/ready", data).text))

    def taking(self, *numbers: int, **more: object) -> dict:
        return {f"r{self.racquets[number]}-take": "y" for number in numbers} | {"needed_by_kind": "match"} | more

    def accept(self, data: dict):
        return self.post(self.address, self.shown(data) | {"do": "accept", "request_key": "one"})


def _fill(session, event: Event) -> tuple[int, tuple[int, ...], int]:
    """Let the event be one with two benches and a player whose first three racquets were strung before."""
    frame, string = make.make_frame(session, event), make.make_string(session, event)
    make.make_reel(session, string)
    event.calibration_required = False
    for _ in range(2):
        make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)
    player = make.make_player(session, event, name="Ilka Torvane", search_name="ilka torvane")
    racquets = [make.make_racquet(session, player, frame=frame) for _ in range(4)]
    for racquet in racquets[:3]:
        card = {"mains_tension": Decimal("23.5"), "crosses_tension": Decimal("22.5"), "tension_unit": "kg"}
        make.make_job(session, player, racquet=racquet, state="handed_over", card=card)
    return player.id, tuple(racquet.id for racquet in racquets), string.id


@pytest.fixture
def counter(furnished: Callable) -> Counter:
    house, made = furnished(_fill)
    return Counter(house, *made)


def jobs_of(counter: Counter, *, state: str = "waiting") -> list[Job]:
    return list(counter.house.scalars(select(Job).where(Job.state == state).order_by(Job.id)))


def cards_of(counter: Counter) -> list[tuple]:
    with counter.house.database.reading() as session:
        found = select(JobCard).join(Job).where(Job.state == "waiting").order_by(Job.id)
        return [(card.mains_tension, card.crosses_tension, card.tension_unit) for card in session.scalars(found)]


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


def test_mains_and_crosses_are_changed_apart(counter: Counter) -> None:
    one = counter.racquets[0]
    counter.accept(counter.taking(0) | {f"r{one}-mains_tension": "24", f"r{one}-crosses_tension": "22,5"})
    assert cards_of(counter) == [(Decimal("24.0"), Decimal("22.5"), "kg")]


def test_without_script_the_ready_time_is_shown_before_it_is_accepted(counter: Counter) -> None:
    answer = counter.post(counter.address, counter.taking(0) | {"do": "accept", "request_key": "one"})
    assert answer.status_code == 422
    assert "Here is the ready time" in answer.text and len(SHOWN.findall(answer.text)) == 1
    assert jobs_of(counter) == []


def test_the_unit_of_a_new_racquet_is_never_chosen_beforehand(counter: Counter) -> None:
    page = counter.get(counter.address).text
    new, known = counter.racquets[3], counter.racquets[0]
    assert re.search(rf'<input checked[^>]*name="r{known}-unit"[^>]*value="kg"', page)
    assert not re.search(rf'<input checked[^>]*name="r{new}-unit"', page)


def test_a_tension_without_its_unit_is_refused_at_its_field(counter: Counter) -> None:
    new = counter.racquets[3]
    data = counter.taking(3) | {f"r{new}-mains_string_id": counter.string_id, f"r{new}-mains_tension": "22"}
    answer = counter.accept(data)
    assert answer.status_code == 422
    assert "say pounds or kilos: the number alone may be either" in answer.text
    assert f'name="r{new}-mains_tension" size="5" type="text" value="22"' in answer.text
    assert jobs_of(counter) == []


def test_a_unit_typed_with_the_tension_counts(counter: Counter) -> None:
    new = counter.racquets[3]
    data = counter.taking(3) | {f"r{new}-mains_string_id": counter.string_id, f"r{new}-mains_tension": "22 kg"}
    assert counter.accept(data).status_code == 303
    assert cards_of(counter) == [(Decimal("22"), Decimal("22"), "kg")]


def test_two_units_on_one_racquet_are_refused(counter: Counter) -> None:
    one = counter.racquets[0]
    answer = counter.accept(counter.taking(0) | {f"r{one}-mains_tension": "52 lb", f"r{one}-unit": "kg"})
    assert answer.status_code == 422 and "two units were given" in answer.text


def test_tension_above_the_frame_is_said_before_and_needs_consent(counter: Counter) -> None:
    one = counter.racquets[0]
    data = counter.taking(0) | {f"r{one}-mains_tension": "28"}
    assert "above the frame’s range" in counter.get(counter.address).text
    assert "is above the frame&#39;s range, 45 lb to 60 lb" in counter.post(f"{counter.address}/ready", data).text
    assert "consent" in counter.accept(data).text and jobs_of(counter) == []
    assert counter.accept(data | {"consent": "owner, at the counter"}).status_code == 303


def test_a_tension_far_below_the_range_is_asked_back_and_taken_by_one_touch(counter: Counter) -> None:
    one = counter.racquets[0]
    counter.house.write(lambda session, _: session.get_one(Racquet, one).frame.__setattr__("tension_low", 50))
    data = (
        counter.taking(0) | {f"r{one}-{half}_tension": "24.5" for half in ("mains", "crosses")} | {f"r{one}-unit": "lb"}
    )
    said = counter.post(f"{counter.address}/ready", data).text
    assert "24.5 lb is below the frame&#39;s range, 50 lb to 60 lb: did you mean 24.5 kg? Ask the player." in said
    assert counter.accept(data).status_code == 422 and jobs_of(counter) == []
    assert counter.accept(data | {"low_meant": "y"}).status_code == 303
    (job,) = jobs_of(counter)
    tag = counter.get(f"/tag/{job.code}").text
    assert "did you mean 24.5 kg?" in tag


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


def test_racquets_are_added_in_between_and_what_was_typed_stays(counter: Counter) -> None:
    one = counter.racquets[0]
    frame_id = counter.house.get(Racquet, one).frame_id
    data = counter.taking(0) | {f"r{one}-mains_tension": "21.5", "new-frame_id": frame_id, "new-count": 2}
    page = counter.post(counter.address, data | {"do": "racquet"}).text
    assert 'value="21.5"' in page and page.count('checked data-take="new"') == 2


def test_a_frame_that_is_not_on_the_list_is_added(counter: Counter) -> None:
    data = {"do": "racquet", "new-frame_name": "Fen 100", "new-mains": "16", "new-crosses": "18", "new-count": "1"}
    assert "Fen 100" in counter.post(counter.address, data).text


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


def test_a_tension_that_cannot_be_stands_beside_its_field_and_no_time_is_shown(counter: Counter) -> None:
    one = counter.racquets[0]
    page = counter.post(f"{counter.address}/ready", counter.taking(0) | {f"r{one}-mains_tension": "240"}).text
    assert re.search(rf'data-fault-of="r{one}-mains_tension">240 kg is outside', page)
    assert 'class="time hero"' not in page and "Ready by …" in page


def test_a_visit_taken_back_tells_no_time_and_prints_nothing(counter: Counter) -> None:
    done = counter.accept(counter.taking(0, 1)).headers["Location"]
    counter.post(f"{done}/undo")
    page = counter.get(done).text
    assert "2 racquets taken back" in page
    assert "ready by" not in page and "Print tags" not in page


def test_a_string_that_is_not_on_the_list_is_added_and_what_was_typed_stays(counter: Counter) -> None:
    data = counter.taking(0) | {"do": "string", "string-name": "Fen Reed", "string-material": "polyester"}
    page = counter.post(counter.address, data | {f"r{counter.racquets[0]}-mains_tension": "21.5"}).text
    assert ">Fen Reed</option>" in page and 'value="21.5"' in page


def test_a_string_without_its_material_is_refused_at_its_field(counter: Counter) -> None:
    page = counter.post(counter.address, counter.taking(0) | {"do": "string", "string-name": "Fen Reed"})
    assert (page.status_code, "choose the material" in page.text) == (422, True)


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


def test_the_wish_for_fresh_strings_is_kept_as_last_time(counter: Counter) -> None:
    one = counter.racquets[0]

    def wish(session, _event: Event) -> None:
        for job in session.scalars(select(Job).where(Job.racquet_id == one)):
            job.card.as_fresh = True

    def ticks() -> list[str]:
        return re.findall(r'<input checked[^>]*name="(r\d+-as_fresh)"', counter.get(f"{counter.address}?take=all").text)

    assert ticks() == []
    counter.house.write(wish)
    assert ticks() == [f"r{one}-as_fresh"]
    counter.accept(counter.taking(0, 1) | {f"r{one}-as_fresh": "y"})
    with counter.house.database.reading() as session:
        taken = select(Job).where(Job.state == "waiting").order_by(Job.id)
        assert [job.card.as_fresh for job in session.scalars(taken)] == [True, False]
