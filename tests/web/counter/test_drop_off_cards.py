"""The cards of a drop-off: tensions with their units, frames and strings, known or new."""

import re
from decimal import Decimal

from sqlalchemy import select

from desk.models import Event, Job, Racquet
from tests.web.counter.known_player import Counter, cards_of, jobs_of


def test_mains_and_crosses_are_changed_apart(counter: Counter) -> None:
    one = counter.racquets[0]
    counter.accept(counter.taking(0) | {f"r{one}-mains_tension": "24", f"r{one}-crosses_tension": "22,5"})
    assert cards_of(counter) == [(Decimal("24.0"), Decimal("22.5"), "kg")]


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


def test_racquets_are_added_in_between_and_what_was_typed_stays(counter: Counter) -> None:
    one = counter.racquets[0]
    frame_id = counter.house.get(Racquet, one).frame_id
    data = counter.taking(0) | {f"r{one}-mains_tension": "21.5", "new-frame_id": frame_id, "new-count": 2}
    page = counter.post(counter.address, data | {"do": "racquet"}).text
    assert 'value="21.5"' in page and page.count('checked data-take="new"') == 2


def test_a_frame_that_is_not_on_the_list_is_added(counter: Counter) -> None:
    data = {"do": "racquet", "new-frame_name": "Fen 100", "new-mains": "16", "new-crosses": "18", "new-count": "1"}
    assert "Fen 100" in counter.post(counter.address, data).text


def test_a_tension_that_cannot_be_stands_beside_its_field_and_no_time_is_shown(counter: Counter) -> None:
    one = counter.racquets[0]
    page = counter.post(f"{counter.address}/ready", counter.taking(0) | {f"r{one}-mains_tension": "240"}).text
    assert re.search(rf'data-fault-of="r{one}-mains_tension">240 kg is outside', page)
    assert 'class="time hero"' not in page and "Ready by …" in page


def test_a_string_that_is_not_on_the_list_is_added_and_what_was_typed_stays(counter: Counter) -> None:
    data = counter.taking(0) | {"do": "string", "string-name": "Fen Reed", "string-material": "polyester"}
    page = counter.post(counter.address, data | {f"r{counter.racquets[0]}-mains_tension": "21.5"}).text
    assert ">Fen Reed</option>" in page and 'value="21.5"' in page


def test_a_string_without_its_material_is_refused_at_its_field(counter: Counter) -> None:
    page = counter.post(counter.address, counter.taking(0) | {"do": "string", "string-name": "Fen Reed"})
    assert (page.status_code, "choose the material" in page.text) == (422, True)


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
