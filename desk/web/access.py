"""Who may use which route: the one table, looked at before every request.

A route that does not stand here is refused to everybody. `PUBLIC` routes need no sign-in: they
show nothing without an unguessable link, or what the hall may see.
"""

from __future__ import annotations

from flask import abort, g, redirect, request, url_for
from werkzeug.wrappers import Response

from desk.errors import NotAllowed, NotFound
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.web import context

LEAD = frozenset({"lead"})
DESK = frozenset({"lead", "desk"})
BENCH = frozenset({"lead", "desk", "stringer"})
SHEETS = frozenset({"lead", "organiser"})
STAFF = frozenset({"lead", "desk", "stringer", "organiser"})
PUBLIC = frozenset({"public"})

_ROUTES: tuple[tuple[frozenset[str], str, str], ...] = (
    (PUBLIC, "running", "healthz readyz metrics"),
    (PUBLIC, "sign_in", "password pin out welcome"),
    (LEAD, "sign_in", "trust"),
    (STAFF, "events", "enter choose take"),
    (LEAD, "events", "new"),
    (BENCH, "bench", "mine benches lines page card begin end trouble undo"),
    (DESK, "home", "page lines"),
    (STAFF, "search", "page"),
    (DESK, "drop_off", "page search add_player player ready done undo"),
    (DESK, "drop_off_sheet", "page check take empty"),
    (DESK, "on_court", "page search send ready call take_back"),
    (LEAD, "own_bench", "choose"),
    (BENCH, "plan", "page lines up_to_date"),
    (DESK, "plan", "racquet hold cancel release wrong tried say tell tell_all suppose keep_supposed"),
    (LEAD, "plan", "keep free mend"),
    (DESK, "stranded", "decide"),
    (DESK, "pickup", "page waiting player undo"),
    (DESK, "runner", "page lines give undo"),
    (PUBLIC, "board", "page lines"),
    (PUBLIC, "player_page", "page now pickup"),
    (PUBLIC, "own_ways", "mail phone end stop worker manifest"),
    (DESK, "word_sent", "page again give_up ways end"),
    (DESK, "print", "tag tags receipt link new_link"),
    (BENCH, "print", "card"),
    (BENCH, "tags", "find job now"),
    (DESK, "mishaps", "page report close reopen"),
    (DESK, "shift_notes", "page sign take_over"),
    (DESK, "tags", "act undo"),
    (SHEETS, "sheets", "page file make making progress made"),
    (LEAD, "sheets", "close correct open_again"),
    (SHEETS, "organiser", "page live"),
    (DESK, "play", "page lines touch stop take_back go_on new_court"),
    (DESK, "match_sheet", "page empty"),
    (DESK, "matches", "new match tried remove"),
    (DESK, "machines", "page machine calibrate take_out put_back moved"),
    (LEAD, "machines", "add change hours"),
    (DESK, "calibration", "page keep"),
    (DESK, "care", "page done take_back"),
    (LEAD, "care", "checks add change drop"),
    (DESK, "team", "page stringer away back"),
    (LEAD, "team", "change hours pin add rate"),
    (DESK, "store", "page order add_string add_reels reel entry place off put_back release"),
    (DESK, "players", "page add player change add_racquet advice before history_file new_link"),
    (DESK, "players", "frame_list add_frame frame"),
    (LEAD, "players", "erase"),
    (DESK, "charges", "page settle add correct take_back pay_back other_pays"),
    (DESK, "payers", "page"),
    (LEAD, "payers", "add_rule remove_rule"),
    (DESK, "contacts", "page add contact change stand unstand drop_off hand_over link"),
    (LEAD, "contacts", "new_link end take_up erase"),
    (PUBLIC, "contact_page", "page now"),
    (LEAD, "charges", "write_off"),
    (DESK, "referee", "page file"),
    (DESK, "invoices", "make page file"),
    (LEAD, "settings", "page days day price_list set_price set_prices remove_price"),
    (LEAD, "settings", "people add_account invite password active withdraw"),
    (LEAD, "settings", "times minutes pace"),
    (LEAD, "rehearsal", "page start progress stop file order"),
    (LEAD, "take_over", "page take"),
    (LEAD, "whose_players", "page change wish no_wish"),
    (DESK | SHEETS, "log", "page"),
)
"""Who may use which views of a blueprint."""

ACCESS: dict[str, frozenset[str]] = {
    "static": PUBLIC,
    **{f"{area}.{view}": roles for roles, area, views in _ROUTES for view in views.split()},
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
    ("organiser.page", "Today in figures", frozenset({"organiser"})),
    ("sheets.page", "Close of day", frozenset({"organiser"})),
    ("runner.page", "To the courts", frozenset()),
    ("store.page", "String", frozenset()),
    ("machines.page", "Machines", frozenset()),
    ("team.page", "Team", frozenset()),
    ("players.page", "Players", frozenset()),
    ("contacts.page", "Contacts", frozenset()),
    ("payers.page", "Who pays", frozenset()),
    ("rehearsal.page", "Rehearsal", frozenset()),
    ("mishaps.page", "Mishaps", frozenset()),
    ("shift_notes.page", "Shift handover", frozenset()),
    ("word_sent.page", "Messages", frozenset()),
    ("log.page", "Log", frozenset()),
    ("settings.page", "Settings", frozenset()),
)

_WITHOUT_MATCHES = "play matches match_sheet on_court runner rehearsal whose_players shift_notes drop_off_sheet"
NOT_AT = {CLUB_WEEKEND: frozenset(_WITHOUT_MATCHES.split())}
"""The blueprints that a kind of event does without: a club weekend has no matches, no courts and no shifts."""
NOT_HOURLY_AT = {CLUB_WEEKEND: frozenset({"plan.page"})}


def applies(endpoint: str) -> bool:
    """Tell whether the event of this request, by its kind, has the screen at all."""
    head = g.get("head")
    return head is None or endpoint.split(".", maxsplit=1)[0] not in NOT_AT.get(head.kind, frozenset())


def may(endpoint: str, role: str | None) -> bool:
    """Tell whether somebody of ROLE (None: not signed in) may use the endpoint."""
    allowed = ACCESS.get(endpoint, frozenset())
    return allowed == PUBLIC or role in allowed


def guard() -> Response | None:
    """Refuse what the table does not allow; ask for sign-in where nobody is signed in."""
    endpoint = request.endpoint
    if endpoint is None or endpoint == "static":
        return None
    if request.blueprint == "running" and ACCESS.get(endpoint) == PUBLIC:
        # Whoever watches from outside asks above all when the records cannot be read.
        return None
    context.load_head()
    actor = context.actor()
    if not may(endpoint, actor.role if actor else None):
        if actor is None and endpoint in ACCESS:
            return _ask_to_sign_in()
        raise NotAllowed("Your role does not include this. Sign in with another role, or ask the desk lead.")
    if not applies(endpoint):
        raise NotFound("A club weekend has no such screen; the lead may change the kind of the event in its settings.")
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
