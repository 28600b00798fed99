"""What belongs to another event is not there: every address and every field that names a row by its id."""

from collections.abc import Callable

import pytest
from flask import Flask
from sqlalchemy import select
from werkzeug.routing import Rule

from desk.models import (
    Base,
    Charge,
    DropOff,
    Event,
    HandOver,
    Job,
    MachineCare,
    MachineCheck,
    Mishap,
    PayRule,
    PlayerWish,
    Reel,
    RehearsalRun,
    Settlement,
    ShiftNote,
    TrustedDevice,
    Word,
)
from desk.services.word.word_ways import Asked, ask
from desk.trade.bench.tag_code import make_code
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene
from tests.web.scenes.scene_play import fill_play

pytestmark = pytest.mark.slow

# An event is chosen, not written to; a file of sheets is asked for by its name; a link of one's own says who asks.
OWN_LINKS = {"own_ways.mail", "own_ways.phone", "own_ways.end", "own_ways.stop"}
NO_ROW = {"sign_in.welcome", "events.take", "take_over.take", "sheets.make", *OWN_LINKS}
# One form that is sound for every route: whatever is refused is refused for its id.
SOUND = {
    "done": "told", "reason": "string broke", "note": "string broke", "text": "overgrip", "name": "Someone",
    "place": "Shelf B",
    "amount": "1.00", "more-amount": "1.00", "more-text": "overgrip", "correct-amount": "1.00",
    "correct-reason": "wrong", "method": "cash", "action": "hold", "do": "receive", "metres": "3", "kind": "lockout",
    "reach_cm": "35", "pace": "100", "pin": "2468", "password": "three plain words", "sure": "y", "count": "1",
    "opens": "08:00", "closes": "22:00", "address": "ilka@example.org", "language": "en",
}  # fmt: skip
# What else the form of a route holds: the ids that its address does not carry.
ALSO: dict[str, Callable[[dict], dict]] = {
    "bench.begin": lambda ids: {"job_id": ids["job_id"], "machine_id": ids["machine_id"]},
    "bench.end": lambda ids: {"job_id": ids["running_id"], "checks": ["weave", "knots", "tension", "stencil", "tag"]},
    "bench.trouble": lambda ids: {"job_id": ids["running_id"]},
    "bench.undo": lambda ids: {"job_id": ids["running_id"]},
    "stranded.decide": lambda _ids: {"what": "hold"},
    "plan.keep": lambda ids: {"stringer_id": ids["stringer_id"], "machine_id": ids["machine_id"]},
    "pickup.player": lambda ids: {"jobs": [ids["strung_id"]], "collected_by": "coach", "payment": "account"},
    "on_court.send": lambda ids: {"racquets": [ids["racquet_id"]]},
    "on_court.ready": lambda ids: {"racquets": [ids["racquet_id"]]},
    "team.hours": lambda ids: {"day_id": ids["day_id"], "hours": "09:00-12:00"},
    "players.add_racquet": lambda ids: {"frame_id": ids["frame_id"]},
    "store.entry": lambda _ids: {"what": "receive"},
    "care.change": lambda _ids: {"name": "Jaws", "every_racquets": 9},
    "contacts.change": lambda _ids: {"kind": "coach"},
    "contacts.hand_over": lambda ids: {"jobs": [ids["strung_id"]]},
    "contacts.stand": lambda ids: {"player_id": ids["player_id"], "leaves": ["is_told"]},
    "charges.other_pays": lambda ids: {"other-charges": [ids["charge_id"]], "other-payer": "tournament"},
    "machines.calibrate": lambda _ids: {"reference_1": 20, "reading_1": 20, "reference_2": 25, "reading_2": 25},
}
# Names of an own row in the address, and of rows that the form takes from elsewhere.
BY_FORM: dict[str, tuple[str, Callable[[dict], dict]]] = {
    name: (address, ALSO[name])
    for name, address in {
        "bench.begin": "/bench/{stringer_id}/start",
        "bench.end": "/bench/{stringer_id}/finish",
        "bench.trouble": "/bench/{stringer_id}/problem",
        "bench.undo": "/bench/{stringer_id}/undo",
        "plan.keep": "/plan/racquet/{job_id}/keep",
        "pickup.player": "/pickup/{player_id}",
        "on_court.send": "/on-court/{player_id}",
        "team.hours": "/team/{stringer_id}/hours",
        "players.add_racquet": "/players/{player_id}/racquet",
        "contacts.stand": "/contacts/{contact_id}/players",
        "contacts.hand_over": "/contacts/{contact_id}/hand-over",
        "charges.other_pays": "/players/{player_id}/account/let-pay",
    }.items()
} | {
    "bench.begin machine": (
        "/bench/{stringer_id}/start", lambda ids: {"job_id": ids["own_job_id"], "machine_id": ids["machine_id"]}
    ),
    "bench.end reel": (
        "/bench/{stringer_id}/finish",
        lambda ids: ALSO["bench.end"](ids) | {"job_id": ids["own_running_id"], "mains_reel_id": ids["reel_id"]},
    ),
    "plan.mend promise": ("/plan/mend", lambda ids: {"kind": "own_promise", "subject_id": ids["job_id"]}),
    "plan.mend machine": ("/plan/mend", lambda ids: {"kind": "machine", "subject_id": ids["machine_id"]}),
    **{
        f"plan.say {word}": ("/plan/said", lambda ids, word=word: {word: ids["job_id"]})
        for word in ("first", "later", "back")
    },
    "play.touch": ("/play/match/{match_id}/touch/move", lambda ids: {"court_id": ids["court_id"]}),
    "team.change": ("/team/{stringer_id}", lambda ids: {"name": "Rui", "home_machine_id": ids["machine_id"]}),
    "store.add_reels": ("/store/reels", lambda ids: {"string_id": ids["string_id"], "metres": 200, "count": 1}),
    "settings.set_price": (
        "/settings/prices", lambda ids: {"what": "string set", "amount": "9", "string_id": ids["string_id"]}
    ),
    "payers.add_rule": ("/payers/rules", lambda ids: {"payer": str(ids["contact_id"]), "covers": ["labour"]}),
    "tags.act": ("/tag/{other_code}/act", lambda _ids: {"action": "hold"}),
}  # fmt: skip


def _ids(session, event: Event) -> dict[str, object]:
    """Fill the event and return an id of each kind, by the name that addresses use for it."""
    filled = scene.fill(session, event)
    match = fill_play(session, filled)[-1]
    waiting, strung = filled.in_state("waiting")[0], filled.in_state("strung")[0]
    rows = _people(session, filled, strung) | _machines(session, filled) | _said(session, filled, strung)
    waiting.code = make_code(70_000 + event.id)
    session.flush()
    newest = {"charge_id": Charge, "drop_off_id": DropOff, "reel_id": Reel}
    return {
        **{f"{name}_id": row.id for name, row in rows.items()},
        **{name: session.scalar(select(of.id).where(of.event_id == event.id)) for name, of in newest.items()},
        "stringer_id": filled.stringers[3].id,
        "player_id": strung.player_id,
        "job_id": waiting.id,
        "running_id": filled.in_state("on_machine")[0].id,
        "strung_id": strung.id,
        "court_id": match.court_id,
        "string_id": waiting.card.mains_string_id,
        "code": waiting.code,
        "match_id": match.id,
        "frame_id": waiting.racquet.frame_id,
        "day_id": event.days[0].id,
        "racquet_id": waiting.racquet_id,
        "do": "stop",
    }


def _stored(session, **rows: Base) -> dict[str, Base]:
    session.add_all(rows.values())
    session.flush()
    return rows


def _people(session, filled: scene.Scene, strung: Job) -> dict[str, Base]:
    event, told = filled.event, {"at": filled.now, "by": "desk"}
    own = {"event_id": event.id, "player_id": strung.player_id, **told}
    contact = make.make_contact(session, event, strung.player, may_pay=True)
    return {"contact": contact} | _stored(
        session,
        account=make.make_account(session, role="desk", name=f"desk of {event.slug}", event_id=event.id),
        device=TrustedDevice(
            event_id=event.id, name="tablet", token_hash=f"hash-{event.id}", trusted_at=filled.now, trusted_by="lead"
        ),
        hand_over=HandOver(**own, collected_by="coach"),
        settlement=Settlement(**own, amount_minor=100, currency="EUR", method="cash"),
        rule=PayRule(event_id=event.id, payer_id=contact.id, covers="labour"),
        price=make.make_price(session, event, "labour", 1800),
        wish=PlayerWish(kind="with", stringer_id=filled.stringers[3].id, **own),
    )


def _machines(session, filled: scene.Scene) -> dict[str, Base]:
    machine = filled.machines[3]
    check = _stored(session, check=MachineCheck(event_id=filled.event.id, name="Clamps", every_racquets=5))["check"]
    own = {"event_id": filled.event.id, "at": filled.now, "by": "lead"}
    care = MachineCare(machine_id=machine.id, check_id=check.id, at=filled.now, by="lead")
    run = RehearsalRun(event_id=filled.event.id, asked_at=filled.now, by="lead", asked={})
    return {"machine": machine, "check": check} | _stored(session, care=care, run=run, note=ShiftNote(stood=[], **own))


def _said(session, filled: scene.Scene, strung: Job) -> dict[str, Base]:
    own = {"event_id": filled.event.id, "job_id": strung.id, "at": filled.now}
    asked = Asked(kind="mail", address="ilka@example.com", language="en", player_id=strung.player_id)
    way = ask(session, filled.event.id, asked, acting=make.acting())
    word = Word(**own, way_id=way.id, occasion="ready", cause_id=1, state="failed")
    return {"way": way} | _stored(session, word=word, mishap=Mishap(**own, kind="left_behind", by="lead"))


def _two_events(session, event: Event) -> tuple[dict[str, object], dict[str, object]]:
    """Return the ids of the event that the house is at, and those of another."""
    return _ids(session, event), _ids(session, make.make_event(session))


def _routes(app: Flask) -> list[Rule]:
    """Return every route that writes and names a row."""
    found = [rule for rule in app.url_map.iter_rules() if "POST" in (rule.methods or ()) and rule.arguments]
    return [rule for rule in found if rule.endpoint not in NO_ROW]


def _address(app: Flask, rule: Rule, ids: dict[str, object]) -> str:
    parts = {name: ids[name] for name in rule.arguments}
    return app.url_map.bind("localhost").build(rule.endpoint, parts, method="POST")


def _records(house: House) -> dict[str, list]:
    with house.database.reading() as session:
        tables = Base.metadata.sorted_tables
        return {table.name: session.execute(select(table).order_by(table.c.id)).all() for table in tables}


def test_a_write_to_a_row_of_another_event_is_a_404_and_changes_nothing(furnished: Callable) -> None:
    house, (_, other) = furnished(_two_events)
    before, client, statuses = _records(house), house.as_role("lead"), {}
    for rule in _routes(house.app):
        asked = ALSO.get(rule.endpoint, lambda _ids: {})(other)
        statuses[rule.endpoint] = client.post(_address(house.app, rule, other), data=SOUND | asked).status_code
    assert {name: status for name, status in statuses.items() if status != 404} == {}
    assert _records(house) == before


def test_the_same_write_to_an_own_row_finds_it(furnished: Callable) -> None:
    house, (own, _) = furnished(_two_events)
    client, missing = house.as_role("lead"), []
    for rule in _routes(house.app):
        asked = ALSO.get(rule.endpoint, lambda _ids: {})(own)
        if client.post(_address(house.app, rule, own), data=SOUND | asked).status_code == 404:
            missing.append(rule.endpoint)
    # The one word `do` stands for several touches: "stop" is one of an account, none of a match.
    assert missing == ["play.touch"]


@pytest.mark.parametrize("name", BY_FORM)
def test_a_form_that_names_a_row_of_another_event_changes_nothing(furnished: Callable, name: str) -> None:
    house, (own, other) = furnished(_two_events)
    before = _records(house)
    address, form = BY_FORM[name]
    named = other | {"own_job_id": own["job_id"], "own_running_id": own["running_id"]}
    where = address.format(**own, other_code=other["code"])
    answer = house.as_role("lead").post(where, data=SOUND | form(named), follow_redirects=True)
    assert (answer.status_code in (404, 422), _records(house) == before) == (True, True)
