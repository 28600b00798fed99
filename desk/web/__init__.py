"""The screens: `create_app` puts them together over one database."""

from __future__ import annotations

from flask import Flask

from desk.models.database import Database
from desk.web import access, context, display, failures, security
from desk.web.areas import AREAS
from desk.web.plan.freshness import PlanWatch


def create_app(database: Database, **config: object) -> Flask:
    """Return the web application over DATABASE, whose tables must be up to date."""
    app = Flask(__name__)
    app.config.update(config)
    app.extensions["desk_database"] = database
    if app.config.get("WATCH_PLANNER"):
        app.extensions["plan_watch"] = PlanWatch()
    security.add_security(app, database)
    app.before_request(access.guard)
    app.teardown_appcontext(context.close_sessions)
    failures.add_failures(app)
    display.add_display(app)
    for area in AREAS:
        app.register_blueprint(area)
    return app
