"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web import bench, drop_off, events, home, log, on_court, pickup, plan, sign_in, tags

AREAS = (
    sign_in.blueprint,
    events.blueprint,
    bench.blueprint,
    drop_off.blueprint,
    on_court.blueprint,
    home.blueprint,
    plan.blueprint,
    pickup.blueprint,
    tags.blueprint,
    log.blueprint,
)
