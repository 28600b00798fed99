"""The blueprints, one a subject."""

from __future__ import annotations

from desk.web.bench import bench
from desk.web.close import close_of_day, organiser
from desk.web.counter import drop_off, drop_off_sheet, on_court, paper, pickup, tags
from desk.web.event import events
from desk.web.hall import board, runner
from desk.web.home import home, log, search
from desk.web.machines import calibration, care, machines
from desk.web.mishaps import mishaps, shift_notes
from desk.web.money import invoices, payers, player_accounts, referee
from desk.web.plan import stranded, wrong
from desk.web.play import match_sheet, matches, play
from desk.web.players import contact_page, contacts, own_bench, player_page, players, strung_before
from desk.web.rehearsal import rehearsal, taking_over, whose_players
from desk.web.running import wellness
from desk.web.string import store
from desk.web.team import people, sign_in, team
from desk.web.word import own_ways, word_sent

AREAS = (
    sign_in.blueprint,
    events.blueprint,
    bench.blueprint,
    drop_off.blueprint,
    drop_off_sheet.blueprint,
    on_court.blueprint,
    home.blueprint,
    wrong.blueprint,
    stranded.blueprint,
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
    match_sheet.blueprint,
    machines.blueprint,
    calibration.blueprint,
    care.blueprint,
    team.blueprint,
    store.blueprint,
    own_bench.blueprint,
    players.blueprint,
    strung_before.blueprint,
    player_accounts.blueprint,
    referee.blueprint,
    invoices.blueprint,
    payers.blueprint,
    contacts.blueprint,
    contact_page.blueprint,
    people.blueprint,
    rehearsal.blueprint,
    taking_over.blueprint,
    whose_players.blueprint,
    log.blueprint,
    wellness.blueprint,
    mishaps.blueprint,
    shift_notes.blueprint,
    search.blueprint,
    own_ways.blueprint,
    word_sent.blueprint,
)
