"""Twenty-four guessers beside the hall: counted are the hashes and tries under way, never seconds."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack

import pytest

from desk.errors import Busy
from desk.services.team import accounts, guessing
from tests import make
from tests.web.conftest import PASSWORD, House

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


def sign_in(client, name: str, password: str = "guessed"):
    return client.post("/sign-in", data={"name": name, "password": password})


def test_the_desk_is_served_while_guessers_wait_for_their_hash(house: House, slow_hash: SlowHash) -> None:
    slug = house.write(lambda session, event: event.slug)
    reel_id = house.write(lambda session, event: make.make_reel(session, make.make_string(session, event)).id)
    own, lead = house.client(), house.as_role("lead")
    with ThreadPoolExecutor(GUESSERS + 1) as pool:
        slow_hash.let_go.set()
        assert sign_in(own, "lead", PASSWORD).status_code == 303
        own.post("/sign-out")
        slow_hash.let_go.clear()
        assert slow_hash.begun.acquire(timeout=60)
        guesses = [pool.submit(sign_in, house.client(), f"name {number}") for number in range(GUESSERS)]
        assert slow_hash.begun.acquire(timeout=60)
        turned_away = 0
        while turned_away < GUESSERS - guessing.STRANGERS_AT_ONCE:
            done = [one.result() for one in guesses if one.done()]
            turned_away = sum(guessing.MANY in answer.text for answer in done)
        assert house.client().get(f"/board/{slug}").status_code == 200
        form = {"what": "receive", "metres": "12.5", "note": "came"}
        assert lead.post(f"/store/reel/{reel_id}/entry", data=form).status_code == 303
        known = pool.submit(sign_in, own, "lead", PASSWORD)
        slow_hash.let_go.set()
        assert known.result().status_code == 303
    assert (slow_hash.most, slow_hash.all) == (1, 2 + guessing.STRANGERS_AT_ONCE)


def test_those_who_are_known_have_places_that_no_stranger_takes() -> None:
    with ExitStack() as full:
        for _ in range(guessing.STRANGERS_AT_ONCE):
            full.enter_context(guessing.place_to_try(is_known=False))
        with pytest.raises(Busy, match="Many are signing in"), guessing.place_to_try(is_known=False):
            pass
        with guessing.place_to_try(is_known=True):
            pass
    with guessing.place_to_try(is_known=False):
        pass
