"""Browsers on which somebody signed in before: a stranger's wrong tries make them wait for nothing."""

from __future__ import annotations

from flask import current_app, request
from itsdangerous import BadData, URLSafeSerializer
from werkzeug.wrappers import Response

from desk.models import Account

COOKIE = "desk_known"
DAYS = 60
MOST_NAMES = 8


def _signer() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.secret_key or "", salt="known browser")


def _names() -> list[str]:
    try:
        return list(_signer().loads(request.cookies.get(COOKIE, "")))
    except (BadData, TypeError):
        return []


def known_browser(name: str) -> str:
    """Return what this browser is counted by where NAME signed in on it before; else nothing."""
    return request.cookies[COOKIE] if name.strip().lower() in _names() else ""


def remember_browser(response: Response, account: Account) -> Response:
    """Remember with the browser that this account signed in on it."""
    names = [account.name.lower(), *(name for name in _names() if name != account.name.lower())][:MOST_NAMES]
    return keep_cookie(response, COOKIE, str(_signer().dumps(names)), days=DAYS, path="/sign-in")


def keep_cookie(response: Response, name: str, value: str, *, days: int, path: str) -> Response:
    """Let the browser keep a cookie for so many DAYS, out of reach of scripts and of other sites."""
    about = {"max_age": days * 86400, "httponly": True, "samesite": "Lax", "secure": request.is_secure}
    response.set_cookie(name, value, path=path, **about)
    return response
