"""The screens: `create_app` puts them together over one database."""

from __future__ import annotations

from threading import BoundedSemaphore

from flask import Flask

from desk.models.database import Database
from desk.web import access, context, display, failures, security, sent_twice
from desk.web.areas import AREAS
from desk.web.forms import FormsApp
from desk.web.plan.freshness import PlanWatch
from desk.web.running import requests
from desk.web.team.places_to_try import add_places_to_try
from desk.web.word.heard import SenderWatch

PLACES_TO_WRITE = 8


def create_app(database: Database, **config: object) -> Flask:
    """Return the web application over DATABASE, whose tables must be up to date."""
    app = FormsApp(__name__)
    app.config.update(config)
    app.extensions["desk_database"] = database
    app.extensions["places_to_write"] = BoundedSemaphore(PLACES_TO_WRITE)
    app.extensions["before_writing"] = [sent_twice.claim_form]
    if app.config.get("WATCH_PLANNER"):
        app.extensions["plan_watch"] = PlanWatch()
        app.extensions["sender_watch"] = SenderWatch()
    requests.add_requests(app)
    add_places_to_try(app)
    security.add_security(app, database)
    app.before_request(access.guard)
    app.teardown_appcontext(context.close_sessions)
    failures.add_failures(app)
    sent_twice.add_sent_twice(app)
    display.add_display(app)
    for area in AREAS:
        app.register_blueprint(area)
    return app
