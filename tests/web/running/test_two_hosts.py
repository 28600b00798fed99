"""Two web processes over one PostgreSQL database: the same touch counts once, who signed in is known to both."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from flask.testing import FlaskClient
from sqlalchemy import func, select

from desk.models import Event, Job, Machine, Reel, ReelEntry, SignedSession, StateChange, Stringer
from desk.models.database import Database
from desk.services.team import guessing
from desk.web import create_app
from tests.web import hurtful
from tests.web.conftest import PASSWORD, House

pytestmark = pytest.mark.postgres


@pytest.fixture
def hosts(postgres: Database) -> Iterator[tuple[House, House]]:
    """The same desk twice, each with an application and connections of its own."""
    first = hurtful.open_house(postgres)
    first.write(lambda _session, event: setattr(event, "calibration_required", False))
    other = Database(postgres.engine.url.render_as_string(hide_password=False))
    yield first, House(create_app(other, WTF_CSRF_ENABLED=False), other, first.event_id, first.accounts)
    other.dispose()


def at_once(hosts: tuple[House, House], address: str, form: dict[str, object]) -> list[int]:
    """Send the same form to both at the same moment, twice to each."""
    clients = [host.as_role("lead") for host in (*hosts, *hosts)]
    with ThreadPoolExecutor(len(clients)) as pool:
        return [one.status_code for one in pool.map(lambda client: client.post(address, data=form), clients)]


def carry(cookies_of: FlaskClient, to: FlaskClient) -> FlaskClient:
    """Let the browser go on at the other host, with the cookies that the first one gave it."""
    for name in ("desk", "desk_known"):
        cookie = cookies_of.get_cookie(name, path="/sign-in" if name == "desk_known" else "/")
        to.set_cookie(name, cookie.value, path=cookie.path)
    return to


def test_a_touch_that_reaches_both_counts_once(hosts: tuple[House, House]) -> None:
    with hosts[0].database.reading() as session:
        job = session.scalars(select(Job).where(Job.state == "waiting").order_by(Job.id)).first()
        busy = select(Job.stringer_id).where(Job.state == "on_machine")
        stringer = session.scalars(select(Stringer.id).where(Stringer.id.not_in(busy)).order_by(Stringer.id)).first()
        taken = select(Job.machine_id).where(Job.state == "on_machine")
        machine = session.scalars(select(Machine.id).where(Machine.id.not_in(taken)).order_by(Machine.id)).first()
        before = session.scalar(select(func.count()).select_from(StateChange))
    form = {"job_id": job.id, "machine_id": machine, "request_key": "one touch"}
    assert at_once(hosts, f"/bench/{stringer}/start", form) == [303] * 4
    with hosts[1].database.reading() as session:
        assert session.scalar(select(func.count()).select_from(StateChange)) == before + 1
        assert session.get_one(Job, job.id).state == "on_machine"


def test_a_form_without_a_key_that_reaches_both_counts_once(hosts: tuple[House, House]) -> None:
    with hosts[0].database.reading() as session:
        reel_id = session.scalars(select(Reel.id)).first()
        before = session.scalar(select(func.count()).select_from(ReelEntry))
    form = {"what": "receive", "metres": "12.5", "note": "came", "csrf_token": "of one page"}
    assert at_once(hosts, f"/store/reel/{reel_id}/entry", form) == [303] * 4
    with hosts[1].database.reading() as session:
        assert session.scalar(select(func.count()).select_from(ReelEntry)) == before + 1


def test_who_signed_in_at_one_is_known_at_the_other_until_signing_out_at_either(hosts: tuple[House, House]) -> None:
    one, two = (host.client() for host in hosts)
    one.post("/sign-in", data={"name": "lead", "password": PASSWORD})
    carry(one, two)
    assert two.get("/now").status_code == 200
    two.post("/sign-out")
    assert one.get("/now").status_code == 303
    with hosts[0].database.reading() as session:
        assert session.scalars(select(SignedSession.ended_at)).one() is not None


def test_wrong_tries_are_counted_together(hosts: tuple[House, House]) -> None:
    for number in range(guessing.FREE_TRIES):
        hosts[number % 2].client().post("/sign-in", data={"name": "lead", "password": "guessed"})
    for host in hosts:
        answer = host.client().post("/sign-in", data={"name": "lead", "password": PASSWORD})
        assert "Too many wrong tries" in answer.text


def test_what_one_keeps_for_the_hall_does_not_grow_stale_by_the_other(hosts: tuple[House, House]) -> None:
    with hosts[0].database.reading() as session:
        slug = session.get_one(Event, hosts[0].event_id).slug
        job = session.scalars(select(Job).where(Job.state == "strung").order_by(Job.id)).first()
    address = f"/board/{slug}/lines"
    before = [host.client().get(address) for host in hosts]
    assert len({answer.get_etag()[0] for answer in before}) == 1
    given = {"jobs": [job.id], "collected_by": "coach", "payment": "account"}
    assert hosts[0].as_role("lead").post(f"/pickup/{job.player_id}", data=given).status_code == 303
    for host in hosts:
        again = host.client().get(address, headers={"If-None-Match": before[0].headers["ETag"]})
        assert (again.status_code, again.get_etag()[0] == before[0].get_etag()[0]) == (200, False)
    assert len({host.client().get(address).text for host in hosts}) == 1
