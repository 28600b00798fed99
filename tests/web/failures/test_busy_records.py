"""While something else holds the records, or their disk is full, reads go on and a write says what to do."""

import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
from markupsafe import escape
from sqlalchemy import event, select, text

from desk.cli.account import make_first_account
from desk.models import Event, Job, Machine, Stringer
from desk.models.database import Database
from desk.record_errors import AWAY, DAMAGED, FULL, UNWRITABLE
from desk.web import create_app
from tests.databases import refuse_inserts, spoil
from tests.web import hurtful
from tests.web.conftest import House
from tests.web.failures.delivery import receive, reel_of

pytestmark = pytest.mark.slow

PAGES = ("/now", "/plan", "/benches", "/pickup", "/drop-off", "/play", "/store")


def open_impatient(database: Database) -> tuple[House, Database]:
    """Return the application over the same records, whose writes wait for a third of a second."""
    filled = hurtful.open_house(database)
    url = database.engine.url.render_as_string(hide_password=False)
    impatient = Database(url, patience=0.3)
    return House(create_app(impatient, WTF_CSRF_ENABLED=False), impatient, filled.event_id, filled.accounts), impatient


@pytest.fixture
def busy_house(any_database: Database) -> Iterator[House]:
    house, impatient = open_impatient(any_database)
    yield house
    impatient.dispose()


@contextmanager
def held(database: Database) -> Iterator[None]:
    """Hold the records as another program would, within a write."""
    with database.writing() as session:
        session.scalar(select(Event).with_for_update())
        yield


def test_reads_go_on_and_a_write_keeps_its_form(busy_house: House, any_database: Database) -> None:
    reel_id = reel_of(busy_house)
    with held(any_database):
        client = busy_house.as_role("lead")
        assert {page: client.get(page).status_code for page in PAGES} == dict.fromkeys(PAGES, 200)
        answer = receive(busy_house, reel_id)
    assert answer.status_code == 422
    assert "The records are busy at the moment. Nothing was stored; try again." in answer.text
    assert 'value="12.5"' in answer.text and 'value="came with the runner"' in answer.text
    assert receive(busy_house, reel_id).status_code == 303


def test_a_bench_is_told_of_a_racquet_that_is_not_on_its_card(busy_house: House, any_database: Database) -> None:
    """Another bench took it meanwhile, or it was scanned: its form has left the card, its refusal must not."""
    with any_database.reading() as session:
        jobs = session.scalars(select(Job).where(Job.state == "strung")).all()
        stringer, machine = session.scalars(select(Stringer.id)).first(), session.scalars(select(Machine.id)).first()
    forms = {"start": {"machine_id": machine}, "finish": {}, "problem": {"reason": "broken"}, "undo": {"change_id": 1}}
    with held(any_database):
        for touch, more in forms.items():
            form = {"job_id": jobs[0].id, "request_key": touch} | more
            answer = busy_house.as_role("lead").post(f"/bench/{stringer}/{touch}", data=form)
            assert (touch, answer.status_code, answer.text.count('id="trouble"')) == (touch, 422, 1)


def test_a_desk_begins_while_something_else_holds_the_records(busy_house: House, any_database: Database) -> None:
    with held(any_database):
        busy_house.database.upgrade()
        make_first_account(busy_house.database, "lead")
        begun = create_app(busy_house.database)
        assert begun.test_client().get("/sign-in").status_code == 200


def test_a_touch_is_refused_as_busy(busy_house: House, any_database: Database) -> None:
    client = busy_house.as_role("lead")
    with held(any_database):
        answer = client.post("/settings/prices/1/remove", data={})
    assert (answer.status_code, "Nothing was stored; try again." in answer.text) == (503, True)
    assert client.get("/settings/prices").status_code == 200


def test_a_sign_in_is_refused_as_busy_with_its_form(database: Database) -> None:
    house, impatient = open_impatient(database)
    with held(database):
        answer = house.client().post("/sign-in", data={"name": "lead", "password": "three plain words"})
    impatient.dispose()
    assert (answer.status_code, "The records are busy" in answer.text, 'value="lead"' in answer.text) == (
        422,
        True,
        True,
    )


def test_a_write_waits_for_a_short_one(any_database: Database, busy_house: House) -> None:
    reel_id = reel_of(busy_house)
    with ThreadPoolExecutor(1) as pool:
        with held(any_database):
            answer = pool.submit(receive, busy_house, reel_id)
            time.sleep(0.1)
        assert answer.result().status_code == 303


def test_who_waits_to_write_leaves_threads_to_those_who_look(busy_house: House, any_database: Database) -> None:
    reel_id, slug = reel_of(busy_house), ""
    slug = busy_house.get(Event, busy_house.event_id).slug
    with held(any_database), ThreadPoolExecutor(24) as pool:
        writes = [pool.submit(receive, busy_house, reel_id) for _ in range(20)]
        look = pool.submit(busy_house.client().get, f"/board/{slug}")
        assert look.result(timeout=20).status_code == 200
        assert {write.result().status_code for write in writes} == {422}


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("code", "told"), [("53100", FULL), ("58030", UNWRITABLE), ("XX001", DAMAGED), ("57P01", AWAY)]
)
def test_what_the_server_refuses_is_said_and_the_form_kept(postgres: Database, code: str, told: str) -> None:
    house, impatient = open_impatient(postgres)
    refuse_inserts(postgres, "reel_entry", code)
    answer = receive(house, reel_of(house))
    assert (answer.status_code, escape(told) in answer.text) == (422, True)
    assert 'value="12.5"' in answer.text and 'value="came with the runner"' in answer.text
    assert house.as_role("lead").get("/store").status_code == 200
    impatient.dispose()


def test_a_damaged_page_is_said_and_what_is_whole_goes_on(database: Database) -> None:
    house, impatient = open_impatient(database)
    client = house.as_role("lead")
    impatient.dispose()
    spoil(database, "log_entry")
    answer = receive(house, reel_of(house))
    assert (answer.status_code, escape(DAMAGED) in answer.text) == (422, True)
    assert 'value="came with the runner"' in answer.text
    assert client.get("/benches").status_code == 200
    spoil(database, "event")
    impatient.dispose()
    answer = client.get("/benches")
    assert (answer.status_code, escape(DAMAGED) in answer.text) == (503, True)
    assert house.client().get("/readyz").text == f"{DAMAGED}\n"
    assert house.client().get("/healthz").text == "ok\n"
    impatient.dispose()


def test_a_full_disk_is_said_and_mended(database: Database) -> None:
    house, small = open_impatient(database)
    reel_id = reel_of(house)
    with small.engine.connect() as connection:
        pages = connection.scalar(text("PRAGMA page_count"))
    small.dispose()

    @event.listens_for(small.engine, "connect")
    def _fill_the_disk(connection, _record) -> None:
        connection.execute(f"PRAGMA max_page_count = {pages if full else 2**30}")

    full = True
    answers = [receive(house, reel_id) for _ in range(120)]
    refused = [answer for answer in answers if answer.status_code == 422]
    assert refused and "The disk that holds the records is full. Nothing was stored" in refused[-1].text
    assert house.as_role("lead").get("/store").status_code == 200
    full = False
    small.dispose()
    assert receive(house, reel_id).status_code == 303
