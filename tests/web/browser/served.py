"""A desk served on this host, with a day in mid-action or as little as a test asks for."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from flask import Flask
from jinja2 import BytecodeCache
from sqlalchemy.orm import Session
from werkzeug.serving import WSGIRequestHandler, make_server

from desk.models.database import Database
from desk.services.team.accounts import ROLES
from desk.web import create_app
from tests import make
from tests.web.conftest import PASSWORD
from tests.web.scenes import full_house, scene
from tests.web.scenes.scene_play import fill_play

Fill = Callable[[Session], scene.Scene]


@dataclass
class Site:
    """A running desk with a day in mid-action."""

    app: Flask
    database: Database
    address: str
    scene: scene.Scene | None

    def to(self, path: str) -> str:
        return f"{self.address}{path}"


class Quiet(WSGIRequestHandler):
    """Answers without a line for each request."""

    def log_request(self, *_about: object) -> None:
        pass


def fill_day(session: Session) -> scene.Scene:
    """An invented day at 12:43."""
    filled = scene.fill(session, make.make_event(session))
    fill_play(session, filled)
    scene.fill_checks(session, filled)
    return filled


def fill_club(session: Session) -> scene.Scene:
    """The same day at a club weekend: visitors with telephones, and no matches."""
    filled = scene.fill(session, make.make_event(session, kind="club_weekend"))
    scene.fill_checks(session, filled)
    make.make_price(session, filled.event, "labour", 1600)
    for number, player in enumerate(filled.players):
        player.phone = f"+44 1632 9601{number:02}"
    return filled


def fill_nothing(session: Session) -> scene.Scene:
    """An event with its days and nothing else."""
    event = make.make_event(session)
    make.set_clock(event, scene.NOW)
    return scene.Scene(event, make.moment(scene.NOW))


def fill_full_house(session: Session) -> scene.Scene:
    """A large desk: 300 racquets at 24 benches."""
    return full_house.fill(session, make.make_event(session), jobs=300, stringers=24)


def fill_records(database: Database, fill: Fill) -> scene.Scene:
    """Make what FILL makes, and somebody of each role."""
    with database.writing() as session:
        filled = fill(session)
        for role in ROLES:
            make.make_account(session, role=role, password=PASSWORD)
    return filled


@contextmanager
def serve(
    database: Database, filled: scene.Scene | None = None, templates: BytecodeCache | None = None
) -> Iterator[Site]:
    """Serve the desk on a free port of this host; without something FILLED the first start is still to do."""
    app = create_app(database)
    app.jinja_env.bytecode_cache = templates
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=Quiet)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield Site(app, database, f"http://127.0.0.1:{server.port}", filled)
    server.shutdown()
    thread.join(timeout=5)
