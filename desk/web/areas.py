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
from desk.web.players import contact_page, contacts, own_bench, player_page, players
from desk.web.rehearsal import rehearsal, taking_over, whose_players
from desk.web.running import wellness
from desk.web.string import store
from desk.web.team import people, sign_in, team
from desk.web.word import own_ways, word_sent

# fmt: off
_MODULES = (
    sign_in, people, team, events, home, log, search, wellness,
    drop_off, drop_off_sheet, on_court, pickup, paper, tags, bench, wrong, stranded,
    play, matches, match_sheet, board, runner, machines, calibration, care, store,
    players, own_bench, player_page, contacts, contact_page, own_ways, word_sent,
    player_accounts, payers, invoices, referee, mishaps, shift_notes,
    close_of_day, organiser, rehearsal, taking_over, whose_players,
)
# fmt: on
AREAS = tuple(module.blueprint for module in _MODULES)
