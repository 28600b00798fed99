"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web import bench, events, log, pickup, sign_in, tags

AREAS = (
    sign_in.blueprint,
    events.blueprint,
    bench.blueprint,
    pickup.blueprint,
    tags.blueprint,
    log.blueprint,
)
