"""Twenty-four guessers beside the hall: counted are the hashes and tries under way, never seconds."""

import os
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack

import pytest

from desk.errors import Busy
from desk.services.team import accounts, guessing
from tests import make
from tests.web.conftest import PASSWORD, House
from tests.web.statements import selects

GUESSERS = 24


class SlowHash:
    """A hash that takes until it is let go; it counts how many were computed at the same time."""

    def __init__(self) -> None:
        self.begun, self.let_go = threading.Semaphore(0), threading.Event()
        self.now = self.most = self.all = 0
        self._lock = threading.Lock()

    def __call__(self, _secret_hash: str, secret: str) -> bool:
        with self._lock:
            self.now, self.all = self.now + 1, self.all + 1
            self.most = max(self.most, self.now)
        self.begun.release()
        assert self.let_go.wait(60)
        with self._lock:
            self.now -= 1
        return secret == PASSWORD


@pytest.fixture
def slow_hash(monkeypatch: pytest.MonkeyPatch) -> Iterator[SlowHash]:
    found = SlowHash()
    monkeypatch.setattr(accounts, "check_password_hash", found)
    yield found
    found.let_go.set()


def sign_in(client, name: str, password: str = "guessed", address: str = "127.0.0.1"):
    return client.post("/sign-in", data={"name": name, "password": password}, environ_base={"REMOTE_ADDR": address})


def test_the_desk_is_served_while_guessers_wait_for_their_hash(house: House, slow_hash: SlowHash) -> None:
    slug = house.write(lambda session, event: event.slug)
    reel_id = house.write(lambda session, event: make.make_reel(session, make.make_string(session, event)).id)
    own, lead = house.client(), house.as_role("lead")
    guessing.wrong_addresses.note("127.0.0.1")
    with ThreadPoolExecutor(GUESSERS + 1) as pool:
        slow_hash.let_go.set()
        assert sign_in(own, "lead", PASSWORD, "192.0.2.2").status_code == 303
        own.post("/sign-out")
        slow_hash.let_go.clear()
        assert slow_hash.begun.acquire(timeout=60)
        guesses = [pool.submit(sign_in, house.client(), f"name {number}") for number in range(GUESSERS)]
        assert slow_hash.begun.acquire(timeout=60)
        turned_away = 0
        while turned_away < GUESSERS - guessing.AT_ONCE["stranger"]:
            done = [one.result() for one in guesses if one.done()]
            turned_away = sum(guessing.MANY in answer.text for answer in done)
        assert house.client().get(f"/board/{slug}").status_code == 200
        form = {"what": "receive", "metres": "12.5", "note": "came"}
        assert lead.post(f"/store/reel/{reel_id}/entry", data=form).status_code == 303
        assert slow_hash.most == 1
        known = pool.submit(sign_in, own, "lead", PASSWORD)
        slow_hash.let_go.set()
        assert known.result().status_code == 303
    assert slow_hash.all == 2 + guessing.AT_ONCE["stranger"]


@pytest.mark.parametrize("who", ["known", "fresh"])
def test_those_who_are_known_or_fresh_have_places_that_no_stranger_takes(who: guessing.Who) -> None:
    with ExitStack() as full:
        for _ in range(guessing.AT_ONCE["stranger"]):
            full.enter_context(guessing.place_to_try("stranger"))
        with pytest.raises(Busy, match="Many are signing in"), guessing.place_to_try("stranger"):
            pass
        with guessing.place_to_try(who):
            pass
    with guessing.place_to_try("stranger"):
        pass


def test_an_address_without_wrong_tries_does_not_stand_in_line_with_guessers(house: House, slow_hash: SlowHash) -> None:
    guesser, lead = "2001:db8:1:2::7", "2001:db8:1:3::7"
    guessing.wrong_addresses.note("2001:db8:1:2::9")
    with ThreadPoolExecutor(2) as pool, ExitStack() as full:
        for _ in range(guessing.AT_ONCE["stranger"]):
            full.enter_context(guessing.place_to_try("stranger"))
        refused = sign_in(house.client(), "lead", PASSWORD, guesser)
        assert (refused.status_code, guessing.MANY in refused.text) == (503, True)
        let_in = pool.submit(sign_in, house.client(), "lead", PASSWORD, lead)
        slow_hash.let_go.set()
        assert let_in.result().status_code == 303


def test_a_refused_try_reads_no_records_and_shows_nothing_of_a_visitor(house: House) -> None:
    guessing.wrong_addresses.note("192.0.2.1")
    with ExitStack() as full, selects(house.database) as asked:
        for _ in range(guessing.AT_ONCE["stranger"]):
            full.enter_context(guessing.place_to_try("stranger"))
        lead = house.as_role("lead")
        asked.clear()
        pages = {sign_in(client, "lead", PASSWORD, "192.0.2.1").text for client in (lead, house.client())}
    assert (len(pages), len(asked)) == (1, 0)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has a priority for each thread")
def test_the_hashes_of_strangers_yield_the_core() -> None:
    def priority() -> bool:
        return os.getpriority(os.PRIO_PROCESS, 0) > os.getpriority(os.PRIO_PROCESS, os.getpid())

    assert guessing.in_turn(priority, "stranger")
    assert not guessing.in_turn(priority, "known")
