"""Who may use which route: the one table, looked at before every request.

A route that does not stand here is refused to everybody. `PUBLIC` routes need no sign-in: they
show nothing without an unguessable link, or what the hall may see.
"""

from __future__ import annotations

from flask import abort, g, redirect, request, url_for
from werkzeug.wrappers import Response

from desk.errors import NotAllowed
from desk.web import context

LEAD = frozenset({"lead"})
DESK = frozenset({"lead", "desk"})
BENCH = frozenset({"lead", "desk", "stringer"})
SHEETS = frozenset({"lead", "organiser"})
STAFF = frozenset({"lead", "desk", "stringer", "organiser"})
PUBLIC = frozenset({"public"})

ACCESS: dict[str, frozenset[str]] = {
    "static": PUBLIC,
    "sign_in.password": PUBLIC,
    "sign_in.pin": PUBLIC,
    "sign_in.out": PUBLIC,
    "sign_in.welcome": PUBLIC,
    "sign_in.trust": LEAD,
    "events.enter": STAFF,
    "events.choose": STAFF,
    "events.take": STAFF,
    "events.new": LEAD,
    "bench.mine": BENCH,
    "bench.benches": BENCH,
    "bench.lines": BENCH,
    "bench.page": BENCH,
    "bench.card": BENCH,
    "bench.begin": BENCH,
    "bench.end": BENCH,
    "bench.trouble": BENCH,
    "bench.undo": BENCH,
    "home.page": DESK,
    "home.lines": DESK,
    "search.page": STAFF,
    "drop_off.page": DESK,
    "drop_off.search": DESK,
    "drop_off.add_player": DESK,
    "drop_off.player": DESK,
    "drop_off.ready": DESK,
    "drop_off.done": DESK,
    "drop_off.undo": DESK,
    "drop_off_sheet.page": DESK,
    "drop_off_sheet.check": DESK,
    "drop_off_sheet.take": DESK,
    "drop_off_sheet.empty": DESK,
    "on_court.page": DESK,
    "on_court.search": DESK,
    "on_court.send": DESK,
    "on_court.ready": DESK,
    "own_bench.choose": LEAD,
    "plan.page": BENCH,
    "plan.lines": BENCH,
    "plan.up_to_date": BENCH,
    "plan.racquet": DESK,
    "plan.keep": LEAD,
    "plan.free": LEAD,
    "plan.hold": DESK,
    "plan.cancel": DESK,
    "plan.release": DESK,
    "plan.wrong": DESK,
    "plan.tried": DESK,
    "plan.mend": LEAD,
    "plan.tell": DESK,
    "plan.suppose": DESK,
    "plan.keep_supposed": DESK,
    "pickup.page": DESK,
    "pickup.waiting": DESK,
    "pickup.player": DESK,
    "pickup.undo": DESK,
    "runner.page": DESK,
    "runner.lines": DESK,
    "runner.give": DESK,
    "runner.undo": DESK,
    "board.page": PUBLIC,
    "board.lines": PUBLIC,
    "player_page.page": PUBLIC,
    "player_page.now": PUBLIC,
    "player_page.pickup": PUBLIC,
    "print.tag": DESK,
    "print.tags": DESK,
    "print.receipt": DESK,
    "print.card": BENCH,
    "print.link": DESK,
    "print.new_link": DESK,
    "tags.find": BENCH,
    "tags.job": BENCH,
    "tags.now": BENCH,
    "tags.act": DESK,
    "tags.undo": DESK,
    "sheets.page": SHEETS,
    "sheets.close": LEAD,
    "sheets.correct": LEAD,
    "sheets.file": SHEETS,
    "sheets.make": SHEETS,
    "sheets.making": SHEETS,
    "sheets.progress": SHEETS,
    "sheets.made": SHEETS,
    "organiser.page": SHEETS,
    "organiser.live": SHEETS,
    "play.page": DESK,
    "play.lines": DESK,
    "play.touch": DESK,
    "play.stop": DESK,
    "play.take_back": DESK,
    "play.go_on": DESK,
    "play.new_court": DESK,
    "match_sheet.page": DESK,
    "match_sheet.empty": DESK,
    "matches.new": DESK,
    "matches.match": DESK,
    "matches.remove": DESK,
    "machines.page": DESK,
    "machines.add": LEAD,
    "machines.machine": DESK,
    "machines.change": LEAD,
    "machines.hours": LEAD,
    "machines.calibrate": DESK,
    "machines.take_out": DESK,
    "machines.put_back": DESK,
    "machines.moved": DESK,
    "calibration.page": DESK,
    "calibration.keep": DESK,
    "team.page": DESK,
    "team.stringer": DESK,
    "team.change": LEAD,
    "team.hours": LEAD,
    "team.away": DESK,
    "team.back": DESK,
    "team.pin": LEAD,
    "team.add": LEAD,
    "store.page": DESK,
    "store.order": DESK,
    "store.add_string": DESK,
    "store.add_reels": DESK,
    "store.reel": DESK,
    "store.entry": DESK,
    "store.place": DESK,
    "store.off": DESK,
    "store.put_back": DESK,
    "store.release": DESK,
    "players.page": DESK,
    "players.add": DESK,
    "players.player": DESK,
    "players.change": DESK,
    "players.add_racquet": DESK,
    "players.advice": DESK,
    "players.history_file": DESK,
    "players.new_link": DESK,
    "players.frame_list": DESK,
    "players.add_frame": DESK,
    "players.frame": DESK,
    "players.erase": LEAD,
    "charges.page": DESK,
    "charges.settle": DESK,
    "charges.add": DESK,
    "charges.correct": DESK,
    "charges.take_back": DESK,
    "charges.pay_back": DESK,
    "charges.write_off": LEAD,
    "referee.page": DESK,
    "referee.file": DESK,
    "invoices.make": DESK,
    "invoices.page": DESK,
    "invoices.file": DESK,
    "settings.page": LEAD,
    "settings.days": LEAD,
    "settings.day": LEAD,
    "settings.price_list": LEAD,
    "settings.set_price": LEAD,
    "settings.remove_price": LEAD,
    "settings.people": LEAD,
    "settings.add_account": LEAD,
    "settings.password": LEAD,
    "settings.active": LEAD,
    "settings.withdraw": LEAD,
    "settings.times": LEAD,
    "settings.minutes": LEAD,
    "settings.pace": LEAD,
    "rehearsal.page": LEAD,
    "rehearsal.start": LEAD,
    "rehearsal.progress": LEAD,
    "rehearsal.file": LEAD,
    "log.page": DESK | SHEETS,
}

# These work before an event was chosen; all others lead to the page of events first.
WITHOUT_EVENT = frozenset({"events.choose", "events.enter", "events.take", "events.new"})

# The words at the top of every screen, in this order: where, the word, and the roles that use it every hour.
# Those stand first; the others stand behind one word. Each is shown to whoever may follow it.
MENU: tuple[tuple[str, str, frozenset[str]], ...] = (
    ("home.page", "Now", DESK),
    ("drop_off.page", "Drop-off", DESK),
    ("plan.page", "Plan", BENCH),
    ("pickup.page", "Pickup", DESK),
    ("bench.benches", "Benches", BENCH),
    ("play.page", "Order of play", DESK),
    ("organiser.page", "Figures", frozenset({"organiser"})),
    ("sheets.page", "Close of day", frozenset({"organiser"})),
    ("runner.page", "Runner", frozenset()),
    ("store.page", "String", frozenset()),
    ("machines.page", "Machines", frozenset()),
    ("team.page", "Team", frozenset()),
    ("players.page", "Players", frozenset()),
    ("rehearsal.page", "Rehearsal", frozenset()),
    ("log.page", "Log", frozenset()),
    ("settings.page", "Settings", frozenset()),
)


def may(endpoint: str, role: str | None) -> bool:
    """Tell whether somebody of ROLE (None: not signed in) may use the endpoint."""
    allowed = ACCESS.get(endpoint, frozenset())
    return allowed == PUBLIC or role in allowed


def guard() -> Response | None:
    """Refuse what the table does not allow; ask for sign-in where nobody is signed in."""
    endpoint = request.endpoint
    if endpoint is None or endpoint == "static":
        return None
    context.load_head()
    actor = context.actor()
    if not may(endpoint, actor.role if actor else None):
        if actor is None and endpoint in ACCESS:
            return _ask_to_sign_in()
        raise NotAllowed("Your role does not include this. Sign in with another role, or ask the desk lead.")
    if actor is not None and g.head is None and ACCESS[endpoint] != PUBLIC and endpoint not in WITHOUT_EVENT:
        return redirect(url_for("events.choose"), 303)
    return None


def _ask_to_sign_in() -> Response:
    if context.wants_fragment():
        abort(401)
    way_back = request.full_path.rstrip("?") if request.method == "GET" else None
    return redirect(url_for("sign_in.password", next=way_back), 303)


def safe_way_back(target: str | None, otherwise: str) -> str:
    """Return TARGET when it is a path of this site, else the other address."""
    text = target or ""
    inside = text.startswith("/") and not text.startswith(("//", "/\\"))
    return text if inside and text.isprintable() and "\\" not in text else otherwise
