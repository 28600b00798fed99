"""The key that signs sessions, the cookies, and the headers of every answer."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from flask import Flask, Request, abort, current_app, request
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface
from flask_wtf import CSRFProtect
from itsdangerous import BadSignature
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.routing import IntegerConverter, Map
from werkzeug.wrappers import Response

from desk.errors import BadInput
from desk.installation import setting
from desk.models.database import Database
from desk.services.team.signing_key import kept_key

LARGEST_BODY = 1024 * 1024
LONGEST_WORDS = 500
SESSION_LIFETIME = timedelta(hours=16)
STRICT_TRANSPORT = "max-age=15552000"
FORM_TYPES = ("application/x-www-form-urlencoded", "multipart/form-data")
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
    return setting("DESK_SECRET_KEY") or kept_key(database)


class RowNumber(IntegerConverter):
    """The number of a row in an address; one that no row can have leads to no page."""

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, max=2**63 - 1)
        self.regex = "[0-9]{1,19}"


class PatientSessions(SecureCookieSessionInterface):
    """Sessions that end after their time, and that a clock set back by some hours does not end at once."""

    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        """Return what the signed cookie holds; an empty session where it is too old or not ours."""
        signer = self.get_signing_serializer(app)
        if signer is None:
            return None
        cookie = request.cookies.get(self.get_cookie_name(app), "")
        try:
            values, signed_at = signer.loads(cookie, return_timestamp=True)
        except BadSignature:
            return self.session_class()
        age, longest = datetime.now(UTC) - signed_at, app.permanent_session_lifetime
        return self.session_class(values if -longest < age < longest else None)


def refuse_what_hurts() -> None:
    """Refuse zero bytes wherever they stand, and words in an address that are longer than anybody types."""
    texts = [request.path, *(text for pair in request.args.items(multi=True) for text in pair)]
    if any(len(text) > LONGEST_WORDS for text in texts):
        abort(414)
    if request.method == "POST" and request.mimetype in FORM_TYPES:
        texts += [text for pair in request.form.items(multi=True) for text in pair]
        texts += [file.filename or "" for file in request.files.values()]
    if any("\x00" in text for text in texts):
        raise BadInput("There is a zero byte in what was sent. Type it anew instead of pasting it.")


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
        MAX_CONTENT_LENGTH=LARGEST_BODY,
    )
    app.session_interface = PatientSessions()
    if setting("DESK_BEHIND_PROXY"):
        _trust_proxy(app)
    app.url_map.converters["int"] = RowNumber
    app.before_request(refuse_what_hurts)
    CSRFProtect(app)
    app.after_request(_set_headers)


def _trust_proxy(app: Flask) -> None:
    """Take address, scheme and host from the one proxy in front, which speaks TLS to everybody."""
    app.wsgi_app = ProxyFix(app.wsgi_app, x_for=1, x_proto=1, x_host=1)  # type: ignore[method-assign]
    app.config["SESSION_COOKIE_SECURE"] = True
    app.extensions["strict_transport"] = STRICT_TRANSPORT


def _set_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if "strict_transport" in current_app.extensions:
        response.headers.setdefault("Strict-Transport-Security", current_app.extensions["strict_transport"])
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "private, no-cache")
    return response
