"""Input that is made to hurt: every form that the screens show, and every address, with values nobody means.

`python -m tests.web.hurtful` sends everything and prints what was answered with a 500; a test sends a sample.
"""

import random
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

from flask.testing import FlaskClient
from sqlalchemy import select
from werkzeug.datastructures import MultiDict
from werkzeug.routing import Rule

from desk.models import DropOff, Event, HandOver, Player, TrustedDevice
from desk.models.database import Database
from desk.web import create_app
from tests import make
from tests.web.conftest import House, make_house
from tests.web.scenes import scene
from tests.web.scenes.scene_play import fill_play

WORST = (
    "", " ", "0", "-1", "²", "١٢", "1_000", "00", "1e9", "1e400", "NaN", "nan", "inf", "-Infinity", "sNaN", "0x10",
    str(2**31), str(2**63), str(2**64), f"-{2**63}", f"-{2**64}", "9" * 40, "9" * 5000, "0." + "3" * 400, "1e-400",
    "\x00", "a\x00b", "\r\nSet-Cookie: a=b", "/now\r\nX: y", "//example.test", "\\\\example.test", "a\tb", "\x7f",
    "\ufeff", "\u202eabc", "e\u0301" * 200, "𝔘" * 300, "x" * 100_000, "<script>alert(1)</script>", "{{ 7 * 7 }}",
    "'; DROP TABLE job; --", "%", "%00", "%s%n", "../../../x", "[]", "{}", "null", "None", "true", "1;2", ",", "=1+1",
    "0001-01-01", "9999-12-31", "9999-12-31T23:59", "0001-01-01 00:00", "9999-12-31 29:59", "2031-02-30", "10000-01-01",
    "24:00", "29:59", "30:00", "99:99", "-1:00", "²:00", "00:00-00:00", "09:00-08:00", "00:00-29:59", "23:59-00:01",
    "Mon 14:05", "Mon", "day 366", "day 99999", "02:30", "1/2", "22", "22 lb", "1000000 kg", "-5 lb", "nan lb",
    "1e30 kg", "winner of X", "P01 / P01", "P01 / P02 / P03",
)  # fmt: skip
QUERY = (
    "q", "day", "job", "line", "frame_id", "start", "before", "lang", "size", "take", "tag", "code", "next", "at", "to",
    "court", "stringer_id", "machine_id", "subject", "tried", "kind", "count", "minutes", "what", "rev", "player",
)  # fmt: skip


@dataclass
class PageForm:
    """A form of a page as a browser would send it."""

    action: str
    method: str
    values: list[tuple[str, str]] = field(default_factory=list)


class _Forms(HTMLParser):
    """Collects the forms of a page, and its links."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[PageForm] = []
        self.links: list[str] = []
        self._select: str | None = None

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attributes}
        if tag == "form":
            self.forms.append(PageForm(found.get("action", ""), found.get("method", "get").lower()))
        elif tag == "a" and found.get("href", "").startswith("/"):
            self.links.append(found["href"])
        elif self.forms and tag in ("input", "textarea", "button") and found.get("name"):
            self.forms[-1].values.append((found["name"], found.get("value", "")))
        elif self.forms and tag == "select":
            self._select = found.get("name")
        elif self.forms and tag == "option" and self._select and ("selected" in found or "value" in found):
            here = self.forms[-1].values
            if "selected" in found or self._select not in dict(here):
                self.forms[-1].values = [pair for pair in here if pair[0] != self._select]
                self.forms[-1].values.append((self._select, found.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = None


@dataclass(frozen=True)
class Sent:
    """One request: what it was, and how it was answered (a status, or the exception that came out)."""

    method: str
    address: str
    name: str
    value: str
    answer: str

    def __str__(self) -> str:
        return f"{self.method} {self.address[:90]}  {self.name}={self.value[:40]!r}: {self.answer}"


def open_house(database: Database) -> House:
    """Return the application over a filled desk, as it answers in earnest: a fault is a 500."""
    house = make_house(create_app(database, WTF_CSRF_ENABLED=False), database)

    def fill(session, event: Event) -> None:
        filled = scene.fill(session, event)
        fill_play(session, filled)
        strung = filled.in_state("strung")[0]
        given = HandOver(event_id=event.id, player_id=strung.player_id, at=filled.now, by="desk", collected_by="coach")
        device = TrustedDevice(
            event_id=event.id, name="tablet", token_hash="hash", trusted_at=filled.now, trusted_by="lead"
        )
        session.add_all((given, device))
        make.make_price(session, event, "labour", 1800)

    house.write(fill)
    return house


def seen_forms(client: FlaskClient, starts: list[str]) -> dict[tuple[str, frozenset[str]], PageForm]:
    """Follow every link of the desk and return each form once, by its route's address and its fields."""
    found: dict[tuple[str, frozenset[str]], PageForm] = {}
    todo, done, kinds = list(starts), set(), {}
    while todo:
        address = todo.pop(0)
        kind = "".join(c for c in address.partition("?")[0] if not c.isdigit())
        kinds[kind] = kinds.get(kind, 0) + 1
        if address in done or kinds[kind] > 1 or address.startswith("/static"):
            continue
        done.add(address)
        answer = client.get(address)
        if answer.mimetype != "text/html" or answer.status_code != 200:
            continue
        page = _Forms()
        page.feed(answer.get_data(as_text=True))
        todo += page.links
        for form in page.forms:
            action = form.action or address
            route = "".join(c for c in action.partition("?")[0] if not c.isdigit())
            found.setdefault((route, frozenset(dict(form.values))), PageForm(action, form.method, form.values))
    return found


def starts_of(house: House) -> list[str]:
    """Return addresses from which everything can be reached."""
    with house.database.reading() as session:
        drop_off = session.scalars(select(DropOff.id)).first()
        player = session.scalars(select(Player)).first()
    pages = [rule.rule for rule in house.app.url_map.iter_rules() if "GET" in rule.methods and not rule.arguments]
    people = [f"/players/{player.id}", f"/drop-off/{player.id}?take=all", f"/pickup/{player.id}", f"/p/{player.token}"]
    return [*pages, *people, f"/drop-off/taken/{drop_off}", f"/on-court?q={player.name[:2]}", "/play/match/new"]


def requests(house: House, client: FlaskClient) -> list[tuple[str, str, str, str, MultiDict | None]]:
    """Return everything that is to be sent: method, address, what was changed, to what, and the form."""
    everything: list[tuple[str, str, str, str, MultiDict | None]] = []
    for form in seen_forms(client, starts_of(house)).values():
        kinds = {"".join(c for c in name if not c.isdigit()): name for name in dict(form.values)}
        for name in kinds.values():
            for value in WORST:
                values = MultiDict([pair for pair in form.values if pair[0] != name])
                values.add(name, value)
                everything.append((form.method.upper(), form.action, name, value, values))
    for rule in house.app.url_map.iter_rules():
        everything += _addresses(rule)
    return everything


def _addresses(rule: Rule) -> Iterator[tuple[str, str, str, str, MultiDict | None]]:
    method = "GET" if "GET" in (rule.methods or ()) else "POST"
    for name in rule.arguments:
        for value in WORST:
            text = value.replace("/", "%2F").replace("?", "%3F").replace("#", "%23") or "%20"
            address = rule.rule
            for other in rule.arguments:
                for converter in ("int:", "path:", ""):
                    address = address.replace(f"<{converter}{other}>", text if other == name else "1")
            yield method, address, name, value, MultiDict()
    if method == "GET" and not any("path" in part for part in rule.rule.split("<")):
        address = rule.rule
        for other in rule.arguments:
            address = address.replace(f"<int:{other}>", "1").replace(f"<{other}>", "1")
        for value in WORST:
            yield "GET", address, "every query", value, MultiDict(dict.fromkeys(QUERY, value))


def send(client: FlaskClient, method: str, address: str, name: str, value: str, values: MultiDict | None) -> Sent:
    """Send one request and note how it was answered."""
    try:
        if method == "GET":
            answer = str(client.get(address.partition("?")[0], query_string=values or None).status_code)
        else:
            answer = str(client.post(address, data=values).status_code)
    except Exception as error:
        # Whatever came through the application is what is looked for.
        answer = f"500 {type(error).__name__}: {error}"
    return Sent(method, address, name, value, answer)


def hurt(house: House, *, most: int | None, seed: int = 1) -> tuple[int, list[Sent]]:
    """Send a sample (or all) and return how many were sent and which ended in a 500."""
    client = house.as_role("lead")
    everything = requests(house, client)
    random.Random(seed).shuffle(everything)
    failed = []
    for one in everything[:most]:
        client = house.as_role("lead")
        sent = send(client, *one)
        if sent.answer.startswith("5"):
            failed.append(sent)
    return min(len(everything), most or len(everything)), failed


def main() -> int:
    """Send everything and print each kind of failure once."""
    with tempfile.TemporaryDirectory() as folder:
        url = sys.argv[1] if len(sys.argv) > 1 else f"sqlite:///{Path(folder)}/hurt.sqlite"
        with Database(url) as database:
            database.upgrade()
            count, failed = hurt(open_house(database), most=None)
    for sent in failed:
        print(sent)
    print(f"{count} requests sent, {len(failed)} answered with a 500")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
