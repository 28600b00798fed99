"""Links to screens that an installation may not have, or that whoever is signed in may not open."""

from __future__ import annotations

from flask import url_for
from werkzeug.routing import BuildError

from desk.web import access, context


def link_to(endpoint: str, **values: object) -> str | None:
    """Return the address of ENDPOINT, or None where it is not there or not for this role."""
    actor = context.actor()
    if not access.applies(endpoint) or not access.may(endpoint, actor.role if actor else None):
        return None
    try:
        return url_for(endpoint, **values)
    except BuildError:
        return None
