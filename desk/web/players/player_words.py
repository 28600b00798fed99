"""What a player's page says of a state, a time, a charge: in words that a player uses, in their language."""

from __future__ import annotations

from datetime import datetime, timedelta

from flask.blueprints import BlueprintSetupState

from desk.queries.counter.job_cards import CardView
from desk.queries.players.player_page import IN_WORK, OwnRacquet
from desk.web import context
from desk.web.languages import gettext as _
from desk.web.languages import local_at, local_day, local_since, pgettext

NEAR = timedelta(minutes=20)


def player_state(one: OwnRacquet) -> str:
    """How far a racquet is."""
    if one.is_open:
        return _("The desk is looking after it")
    if one.state == "strung" and one.card.on_court:
        if not one.card.court:
            return _("Strung, on its way to the court")
        return _("Strung, on its way to %(court)s") % {"court": one.card.court}
    return {
        "waiting": _("Waits to be strung"),
        "on_machine": _("Is being strung now"),
        "strung": _("Ready to collect"),
        "handed_over": _("Collected"),
        "held": _("On hold: please come to the desk"),
        "cancelled": _("Cancelled"),
    }[one.state]


def when_word(one: OwnRacquet) -> str:
    """What the time of a racquet means."""
    day = one.time_at is not None and bool(local_day(one.time_at))
    if one.state == "strung":
        return pgettext("day", "strung at") if day else _("strung at")
    if one.state == "handed_over":
        return pgettext("day", "collected at") if day else _("collected at")
    if one.late_since is not None:
        return _now_word(one, day=day)
    if one.about:
        return pgettext("day", "expected about") if day else _("expected about")
    return pgettext("day", "ready by") if day else _("ready by")


def _now_word(one: OwnRacquet, *, day: bool) -> str:
    if one.expected_at:
        return pgettext("day", "now expected about") if day else _("now expected about")
    return pgettext("day", "was to be ready by") if day else _("was to be ready by")


def told_word(given_at: datetime, ready_at: datetime, *, is_first: bool) -> str:
    """What goes before a ready time that was told, or changed: "Told at 09:10: ready by"."""
    day = bool(local_day(ready_at))
    if is_first:
        text = pgettext("day", "Told %(at)s: ready by") if day else _("Told %(at)s: ready by")
    else:
        text = pgettext("day", "Changed %(at)s: ready by") if day else _("Changed %(at)s: ready by")
    return text % {"at": local_at(given_at)}


def by_which_way(kind: str, at: datetime) -> str:
    """By which way the player was told of a racquet, and when: "Told by e-mail at 14:05."."""
    text = _("Told by e-mail %(at)s.") if kind == "mail" else _("Told on the phone %(at)s.")
    return text % {"at": local_at(at)}


def late_word(since: datetime) -> str:
    """Since when it is late; we are sorry."""
    text = _("Late since %(time)s. We are sorry.")
    if local_day(since):
        text = pgettext("day", "Late since %(time)s. We are sorry.")
    return text % {"time": local_since(since)}


def whom_word(one: OwnRacquet) -> str:
    """Who strings a racquet, and the player's own stringer where that is another."""
    whom = one.whom
    if whom is None:
        return ""
    names = {"name": whom.name, "own": whom.own}
    if whom.as_always:
        return _("With %(name)s, as always") % names
    if not whom.own:
        return _("With %(name)s") % names
    if whom.until is None:
        return _("With %(name)s this time, not with %(own)s") % names
    text = _("With %(name)s, not with %(own)s, who is off until %(time)s")
    if local_day(whom.until):
        text = pgettext("day", "With %(name)s, not with %(own)s, who is off until %(time)s")
    return text % (names | {"time": local_since(whom.until)})


def extra_words(card: CardView) -> list[str]:
    """What is done beside the strings."""
    words = [_("two-piece") if card.pieces == 2 else _("one-piece")]
    own = {"yes": _("your own string"), "mains": _("your own mains"), "crosses": _("your own crosses")}
    if card.bed.own_string in own:
        words.append(own[card.bed.own_string])
    if card.stencil:
        words.append(_("stencil"))
    works = card.extra_work.split("_and_")
    if "grommets" in works:
        words.append(_("new grommets"))
    if "grip" in works or "overgrip" in works:
        words.append(_("grip work"))
    return words


def charge_word(kind: str, text: str) -> str:
    """What is charged; words that the desk typed are not translated."""
    words = {
        "labour": _("Stringing"),
        "on_court": _("On-court surcharge"),
        "string": _("String"),
        "extra_work": _("Grommets or grip"),
        "stencil": _("Stencil"),
    }
    return words.get(kind, text)


def paid_word(method: str) -> str:
    words = {
        "cash": _("Paid in cash"),
        "card": _("Paid by card"),
        "transfer": _("Paid by bank transfer"),
        "prize_money": _("Paid from prize money"),
        "federation": _("Paid by a federation"),
        "refund": _("Paid back"),
        "write_off": _("Written off"),
    }
    return words.get(method, _("Paid"))


def is_near(one: OwnRacquet) -> bool:
    """Tell whether a racquet may become ready soon, so that its page asks more often."""
    soon = one.time_at is not None and one.time_at - context.event_time() < NEAR
    return one.state in IN_WORK and (one.state == "on_machine" or soon)


def add_words(state: BlueprintSetupState) -> None:
    state.app.jinja_env.globals.update(
        player_state=player_state,
        when_word=when_word,
        extra_words=extra_words,
        charge_word=charge_word,
        paid_word=paid_word,
        is_near=is_near,
        told_word=told_word,
        late_word=late_word,
        whom_word=whom_word,
        by_which_way=by_which_way,
    )
    state.app.jinja_env.tests["near"] = is_near
