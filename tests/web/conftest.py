"""The application over empty records, with one event and somebody of each role."""

import pickle
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import FileSystemBytecodeCache
from sqlalchemy import ScalarResult, Select
from sqlalchemy.orm import Session

from desk.models import Account, Event
from desk.models.database import Database, sqlite_file
from desk.services.team.accounts import ROLES
from desk.web import create_app
from desk.web.context import password_stamp
from tests import make
from tests.databases import copy_of
from tests.web.scenes import scene

Fill = Callable[[Session, Event], Any]
PASSWORD = "three plain words"


@dataclass(frozen=True)
class House:
    """An application with an event; `as_role` gives a client that somebody is signed in on."""

    app: Flask
    database: Database
    event_id: int
    accounts: dict[str, int]

    def client(self) -> FlaskClient:
        return self.app.test_client()

    def as_role(self, role: str | None) -> FlaskClient:
        client = self.client()
        if role is not None:
            with self.database.reading() as session:
                stamp = password_stamp(session.get_one(Account, self.accounts[role]).password_hash)
            with client.session_transaction() as signed:
                signed.update(account_id=self.accounts[role], stamp=stamp, event_id=self.event_id)
        return client

    def scalars(self, found: Select) -> ScalarResult:
        """Read what FOUND selects, at once."""
        with self.database.reading() as session:
            return session.execute(found).freeze()().scalars()

    def get(self, table: type, key: int) -> Any:
        with self.database.reading() as session:
            return session.get_one(table, key)

    def write(self, change: Callable) -> object:
        """Run CHANGE(session, event) in one transaction and return what it gives."""
        with self.database.writing() as session:
            return change(session, session.get_one(Event, self.event_id))


@pytest.fixture(scope="session")
def compiled_templates(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> FileSystemBytecodeCache:
    """What Jinja compiled before; it compiles a template anew when its text differs."""
    cache = getattr(request.config, "cache", None)
    return FileSystemBytecodeCache(cache.mkdir("templates") if cache else tmp_path_factory.mktemp("templates"))


@pytest.fixture(scope="session")
def shared_app(sqlite_template: Path, compiled_templates: FileSystemBytecodeCache) -> Flask:
    """One application for all tests of a process; `empty_app` lends it with records of its own."""
    nowhere = Database(f"sqlite:///{sqlite_template}")
    app = create_app(nowhere, TESTING=True, WTF_CSRF_ENABLED=False, SECRET_KEY="for tests only")
    app.jinja_env.bytecode_cache = compiled_templates
    return app


@pytest.fixture
def empty_app(shared_app: Flask, database: Database) -> Iterator[Flask]:
    """The application before its first start; what a test sets in it is undone afterwards."""
    before = dict(shared_app.config), dict(shared_app.extensions)
    shared_app.extensions["desk_database"] = database
    yield shared_app
    for kept, values in zip((shared_app.config, shared_app.extensions), before, strict=True):
        kept.clear()
        kept.update(values)


def make_house(app: Flask, database: Database) -> House:
    """Add an event and somebody of each role to empty records."""
    with database.writing() as session:
        event = make.make_event(session)
        make.set_clock(event, "Mon 12:00")
        accounts = {role: make.make_account(session, role=role, password=PASSWORD).id for role in ROLES}
        return House(app, database, event.id, accounts)


def nothing(_session: Session, _event: Event) -> None:
    """The event with its days and accounts is enough."""


@pytest.fixture(scope="session")
def houses(shared_app: Flask, sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable:
    """Give `houses(fill)`: a file with a house and what FILL makes, made once in a process, and what FILL returned.

    That is pickled, so that no test writes into what another one reads.
    """

    @cache
    def made_once(fill: Fill) -> tuple[Path, House, bytes]:
        folder = tmp_path_factory.mktemp("house")
        with copy_of(sqlite_template, folder) as database:
            house = make_house(shared_app, database)
            return folder / "desk.sqlite", house, pickle.dumps(house.write(fill))

    return made_once


@pytest.fixture
def furnished(houses: Callable, empty_app: Flask, database: Database) -> Callable[[Fill], tuple[House, Any]]:
    """Give `furnished(fill)`: a house with what FILL, a function of a module, makes, and its return value."""

    def copied(fill: Fill) -> tuple[House, Any]:
        file, house, made = houses(fill)
        database.dispose()
        shutil.copyfile(file, str(sqlite_file(database.url)))
        return replace(house, app=empty_app, database=database), pickle.loads(made)

    return copied


@pytest.fixture
def house(furnished: Callable) -> House:
    return furnished(nothing)[0]


@pytest.fixture
def day(furnished: Callable) -> scene.Scene:
    """What stands in the house at 12:43 of its first day; ask for it beside `house`."""
    return furnished(scene.fill)[1]
