"""Every form of the application, sent twice, counts once."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import func, select
from werkzeug.datastructures import MultiDict

from desk.models import Base, Charge, LogEntry, Reel, ReelEntry, Settlement
from desk.models.database import Database
from tests.web import hurtful
from tests.web.conftest import House

pytestmark = pytest.mark.slow

SENSELESS = ("/sign-", "/bench-sign-in", "/trust-device")
FILLED = {
    "amount": "3.50", "metres": "5", "text": "overgrip", "reason": "damaged", "note": "came today", "name": "Nova",
    "count": "1", "time": "14:00", "minutes": "20", "hours": "09:00-12:00", "back": "", "code": "N1", "tag": "N1",
    "collected_by": "coach", "method": "cash", "place": "shelf B", "pin": "2468", "password": "three plain words",
}  # fmt: skip


@pytest.fixture
def sound_house(any_database: Database) -> House:
    return hurtful.open_house(any_database)


COUNTS = select(
    *(select(func.count()).select_from(t).scalar_subquery().label(t.name) for t in Base.metadata.sorted_tables)
)


def rows(house: House) -> dict[str, int]:
    """Return how many rows each table has, with the log, in which every write leaves a line."""
    with house.database.reading() as session:
        return dict(session.execute(COUNTS).one()._mapping)


def filled(form: hurtful.PageForm) -> MultiDict:
    """Return the form as somebody would fill it in: what is empty gets something sound."""
    values = MultiDict(form.values)
    for name in list(values):
        plain = re.split(r"[-_]\d*", name)[-1] if "-" in name else name
        if not values[name] and plain in FILLED:
            values[name] = FILLED[plain]
    return values


def test_every_form_counts_once(sound_house: House) -> None:
    sound_house.app.config["WTF_CSRF_ENABLED"] = True
    client = sound_house.as_role("lead")
    forms = hurtful.seen_forms(client, hurtful.starts_of(sound_house))
    posts = [form for form in forms.values() if form.method == "post" and not form.action.startswith(SENSELESS)]
    twice, stored = [], 0
    for form in posts:
        values, before = filled(form), rows(sound_house)
        client.post(form.action, data=values)
        once = rows(sound_house)
        client.post(form.action, data=values)
        stored += once != before
        if rows(sound_house) != once:
            twice.append(form.action)
    assert twice == []
    assert len(posts) > 40 and stored > 15


def page_form(house: House, address: str, action: str) -> MultiDict:
    client, page = house.as_role("lead"), hurtful._Forms()
    page.feed(client.get(address).text)
    return MultiDict(next(form for form in page.forms if form.action.endswith(action)).values)


@pytest.mark.parametrize("kind", ["pay", "charge"])
def test_money_sent_twice_at_the_same_moment_counts_once(sound_house: House, kind: str) -> None:
    player_id = sound_house.scalars(select(Charge.player_id)).first()
    address = f"/players/{player_id}/account"
    values = page_form(sound_house, address, f"/account/{kind}")
    for name, value in (("method", "cash"), ("amount", "1.00"), ("more-amount", "1.00"), ("more-text", "overgrip")):
        values.setlist(name, [value])
    table = Settlement if kind == "pay" else Charge
    count = rows(sound_house)[table.__tablename__]
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: sound_house.as_role("lead").post(f"{address}/{kind}", data=values), range(4)))
    assert rows(sound_house)[table.__tablename__] == count + 1
    assert {answer.status_code for answer in answers} == {303}


def test_the_second_answer_leads_where_the_first_did(sound_house: House) -> None:
    reel_id = sound_house.scalars(select(Reel.id)).first()
    values = page_form(sound_house, f"/store/reel/{reel_id}", "/entry")
    values.setlist("what", ["receive"])
    values.setlist("metres", ["5"])
    client = sound_house.as_role("lead")
    answers = [client.post(f"/store/reel/{reel_id}/entry", data=values) for _ in range(2)]
    assert [answer.headers["Location"] for answer in answers] == [f"/store/reel/{reel_id}"] * 2
    assert "It counted once." in client.get(f"/store/reel/{reel_id}").text
    assert len(sound_house.scalars(select(ReelEntry).where(ReelEntry.metres == 5)).all()) == 1


def test_the_same_again_from_a_page_loaded_anew_counts_again(sound_house: House, monkeypatch) -> None:
    reel_id = sound_house.scalars(select(Reel.id)).first()
    client = sound_house.as_role("lead")
    for token in ("one", "two"):
        form = {"csrf_token": token, "what": "receive", "metres": "5"}
        client.post(f"/store/reel/{reel_id}/entry", data=form)
    assert len(sound_house.scalars(select(ReelEntry).where(ReelEntry.metres == 5)).all()) == 2


def test_what_was_refused_may_be_sent_again(sound_house: House) -> None:
    with sound_house.database.reading() as session:
        reel_id = session.scalars(select(Reel.id)).first()
        lines = session.scalar(select(func.count(LogEntry.id)))
    client = sound_house.as_role("lead")
    form = {"csrf_token": "one", "what": "waste", "metres": "900", "note": "tangled"}
    assert [client.post(f"/store/reel/{reel_id}/entry", data=form).status_code for _ in range(2)] == [422, 422]
    assert rows(sound_house)["log_entry"] == lines
