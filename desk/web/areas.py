"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web import (
    bench,
    board,
    close_of_day,
    drop_off,
    drop_off_sheet,
    events,
    home,
    log,
    machines,
    matches,
    on_court,
    organiser,
    paper,
    pickup,
    plan,
    play,
    player_page,
    runner,
    sign_in,
    tags,
)

AREAS = (
    sign_in.blueprint,
    events.blueprint,
    bench.blueprint,
    drop_off.blueprint,
    drop_off_sheet.blueprint,
    on_court.blueprint,
    home.blueprint,
    plan.blueprint,
    pickup.blueprint,
    close_of_day.blueprint,
    organiser.blueprint,
    runner.blueprint,
    board.blueprint,
    player_page.blueprint,
    paper.blueprint,
    tags.blueprint,
    play.blueprint,
    matches.blueprint,
    machines.blueprint,
    log.blueprint,
)
