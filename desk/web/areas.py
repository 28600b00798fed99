"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web import bench, close_of_day, drop_off, events, home, log, on_court, organiser, pickup, plan, sign_in, tags

AREAS = (
    sign_in.blueprint,
    events.blueprint,
    bench.blueprint,
    drop_off.blueprint,
    on_court.blueprint,
    home.blueprint,
    plan.blueprint,
    pickup.blueprint,
    close_of_day.blueprint,
    organiser.blueprint,
    tags.blueprint,
    log.blueprint,
)
