"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web import events, sign_in

AREAS = (
    sign_in.blueprint,
    events.blueprint,
)
