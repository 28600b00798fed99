"""The key that signs sessions, the cookies, and the headers of every answer."""

from __future__ import annotations

import secrets
from datetime import timedelta

from flask import Flask, request
from flask_wtf import CSRFProtect
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from werkzeug.wrappers import Response

from desk.installation import setting
from desk.models import Secret
from desk.models.database import Database

SESSION_LIFETIME = timedelta(hours=16)
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
    "X-Content-Type-Options": "nosniff",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}


def secret_key(database: Database) -> str:
    """Return the signing key: the setting, or one made at the first start and kept in the records."""
    given = setting("DESK_SECRET_KEY")
    if given:
        return given
    try:
        with database.writing() as session:
            kept = session.scalar(select(Secret).where(Secret.name == "session"))
            if kept is None:
                kept = Secret(name="session", value=secrets.token_hex(32))
                session.add(kept)
            return kept.value
    except IntegrityError:
        with database.reading() as session:
            return session.scalars(select(Secret).where(Secret.name == "session")).one().value


def add_security(app: Flask, database: Database) -> None:
    """Sign sessions, guard forms, set headers."""
    app.config.update(
        SECRET_KEY=app.config.get("SECRET_KEY") or secret_key(database),
        SESSION_COOKIE_NAME="desk",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_REFRESH_EACH_REQUEST=False,
        PERMANENT_SESSION_LIFETIME=SESSION_LIFETIME,
        WTF_CSRF_TIME_LIMIT=None,
        MAX_CONTENT_LENGTH=8 * 1024 * 1024,
    )
    CSRFProtect(app)
    app.after_request(_set_headers)


def _set_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "private, no-cache")
    return response
