"""Close of day in the browser's words: what the lead and the organiser see, and what they take away."""

import time
from collections.abc import Callable
from io import BytesIO

import pytest
from openpyxl import load_workbook

from desk.models import EventDay
from desk.services.bench.undo import undo_last
from tests import make
from tests.queries.close.ten_jobs import Bench, ten_jobs
from tests.web.conftest import House


def _ten_jobs(session, event) -> None:
    ten_jobs(session, event)
    make.set_clock(event, "Mon 22:05")


@pytest.fixture
def evening(furnished: Callable) -> House:
    """The house at the end of a Monday of ten jobs."""
    return furnished(_ten_jobs)[0]


def monday(house: House) -> EventDay:
    with house.database.reading() as session:
        return session.query(EventDay).filter_by(event_id=house.event_id, date=make.FIRST_DAY).one()


def test_lead_sees_the_first_page_and_the_check_list(evening):
    page = evening.as_role("lead").get("/close-of-day").text
    assert "Monday 12 May 2031" in page
    assert "101.5 m" in page and "290.00 EUR" in page
    assert "Before you close" in page and "Close the day" in page
    assert "waiting: they are carried over to the next day." in page


def test_organiser_sees_the_first_page_and_no_button(evening):
    page = evening.as_role("organiser").get("/close-of-day").text
    assert "101.5 m" in page
    assert "Close the day" not in page and "Before you close" not in page


def test_closing_says_so_on_the_page(evening):
    client = evening.as_role("lead")
    page = client.post(f"/close-of-day/{monday(evening).id}/close", follow_redirects=True).text
    assert "The day is closed. What comes from now on counts for the next day." in page
    assert "Closed by lead on Monday 12 May 2031 at 22:05." in page
    assert "Close the day" not in page
    assert monday(evening).closed_by == "lead"


def test_closing_twice_is_refused_with_the_reason(evening):
    client, day_id = evening.as_role("lead"), monday(evening).id
    client.post(f"/close-of-day/{day_id}/close")
    answer = client.post(f"/close-of-day/{day_id}/close")
    assert answer.status_code == 409
    assert "was closed by lead already; note a correction instead" in answer.text


def test_a_changed_closed_day_asks_why_and_keeps_the_answer(evening):
    client, day_id = evening.as_role("lead"), monday(evening).id
    client.post(f"/close-of-day/{day_id}/close")
    tag = evening.write(_take_back)
    page = client.get("/close-of-day?day=2031-05-12").text
    assert "These figures have changed since the day was closed." in page
    assert client.post(f"/close-of-day/{day_id}/correct", data={"note": ""}).status_code == 422
    page = client.post(
        f"/close-of-day/{day_id}/correct", data={"note": f"{tag} was not strung"}, follow_redirects=True
    ).text
    assert f"{tag} was not strung" in page
    assert "These figures have changed" not in page


def _take_back(session, event) -> str:
    job = next(job for job in Bench(session, event).of_event() if job.state == "strung")
    return undo_last(session, event.id, job.id, acting=make.acting("Tue 09:00")).code


@pytest.mark.parametrize("suffix", ["xlsx", "zip", "json"])
def test_a_day_is_taken_away_in_each_format(evening, suffix):
    answer = evening.as_role("organiser").get(f"/close-of-day/files/2031-05-12.{suffix}")
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].endswith(f"usage-2031-05-12.{suffix}")
    assert len(answer.data) > 1000


def test_the_event_is_made_beside_the_request_and_fetched_when_ready(evening):
    client = evening.as_role("organiser")
    where = client.post("/close-of-day/make/event.xlsx").headers["Location"]
    for _ in range(200):
        progress = client.get(f"{where}/progress").text
        if "The sheet is ready." in progress:
            break
        time.sleep(0.05)
    answer = client.get(f"{where}/file")
    first = {row[0].value: row[1].value for row in load_workbook(BytesIO(answer.data))["Summary"].iter_rows()}
    assert first["Strung"] == 9
    assert "usage-event.xlsx" in answer.headers["Content-Disposition"]


def test_a_sheet_that_is_not_kept_says_what_to_do(evening):
    answer = evening.as_role("organiser").get("/close-of-day/making/none")
    assert answer.status_code == 404
    assert "make it again" in answer.text


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/close-of-day?day=2030-01-01", "is not a day of this event"),
        ("/close-of-day/files/2030-01-01.xlsx", "is no day of"),
        ("/close-of-day/files/someday.xlsx", "is not a day of this event"),
        ("/close-of-day/files/2031-05-12.pdf", "is not a format of the sheets"),
    ],
)
def test_a_wrong_address_says_what_is_wrong(evening, address, said):
    answer = evening.as_role("lead").get(address)
    assert answer.status_code in (404, 422)
    assert said in answer.text


def test_organiser_follows_the_day_live_and_may_write_nothing(evening):
    client = evening.as_role("organiser")
    page = client.get("/organiser")
    assert "Today in figures" in page.text and "101.5 m" in page.text
    assert "<form" not in page.text.split("<main", 1)[1]
    first = client.get("/organiser/today", headers={"X-Fragment": "1"})
    again = client.get("/organiser/today", headers={"X-Fragment": "1", "If-None-Match": first.headers["ETag"]})
    assert (first.status_code, again.status_code) == (200, 304)
    assert client.post(f"/close-of-day/{monday(evening).id}/close").status_code == 403


def test_empty_day_shows_its_page(house):
    assert house.as_role("lead").get("/close-of-day").status_code == 200
    assert house.as_role("organiser").get("/organiser").status_code == 200
