"""How values read on a screen: the event's clock, minutes, states, tensions, money."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from flask import Flask, current_app, request, url_for

from desk.models import STATE_WORDS
from desk.trade.event.event_time import span
from desk.trade.event.money import exponent
from desk.trade.event.names import shorter, surname
from desk.trade.racquet.units import KG_PER_LB, plain
from desk.web import access, context

UNIT_WORDS = {"lb": "pounds", "kg": "kilos"}
MATERIAL_WORDS = {
    "polyester": "polyester",
    "nylon_multifilament": "nylon multifilament",
    "nylon_monofilament": "nylon monofilament",
    "natural_gut": "natural gut",
    "aramid": "aramid",
    "other": "other",
}
MATTERS_WORDS = {"first": "Matters most", "later": "Follows to the court during the match"}
OWN_STRING_WORDS = {
    "yes": "Player’s own string",
    "mains": "Mains: player’s own string",
    "crosses": "Crosses: player’s own string",
}
EXTRA_WORK_WORDS = {
    "none": "",
    "grommets": "new grommets",
    "grip": "work on the size of the grip",
    "overgrip": "new overgrip",
    "grommets_and_grip": "new grommets and work on the size of the grip",
    "grommets_and_overgrip": "new grommets and overgrip",
}


def hhmm(moment: datetime) -> str:
    """The event's wall clock: "13:05"."""
    return f"{context.clock().local(moment):%H:%M}"


def day_word(moment: datetime) -> str:
    """The day where it is not today's, in as few letters as say it: "", "Tue", "12 May"."""
    return context.clock().day_word(moment, context.event_time())


def day_hhmm(moment: datetime) -> str:
    """The wall clock, with its day where that is not today: "Tue 13:05"."""
    return context.clock().spoken(moment, context.event_time())


def day_name(day: date) -> str:
    """A day in full: "Tuesday 13 May"."""
    return f"{day:%A} {day.day} {day:%B}"


def short_day(day: date) -> str:
    """A day in few letters: "Tue 13 May"."""
    return f"{day:%a} {day.day} {day:%b}"


def long_day(moment: datetime) -> str:
    """The day of a moment in full."""
    return day_name(context.clock().local(moment))


def weekday(moment: datetime) -> str:
    """The weekday, today's too, as paper is read on another day: "Mon"."""
    return f"{context.clock().local(moment):%a}"


def weekday_hhmm(moment: datetime) -> str:
    """The wall clock with its weekday: "Mon 13:05"."""
    return context.clock().weekday_hhmm(moment)


def full_date(moment: datetime) -> str:
    """A date with its year: "13 May 2031"."""
    local = context.clock().local(moment)
    return f"{local.day} {local:%B} {local.year}"


def minutes_from_now(moment: datetime) -> int:
    """Whole minutes from the event's now to MOMENT, negative when it has passed."""
    return (moment - context.event_time()) // timedelta(minutes=1)


def tension(value: Decimal, unit: str) -> str:
    """A tension as spoken: "52.5 lb"."""
    return f"{plain(value)} {unit}"


def both_units(pounds: float) -> str:
    """A difference of tension in pounds and kilos: "0.5 lb (0.23 kg)"."""
    return f"{pounds:g} lb ({Decimal(str(pounds)) * KG_PER_LB:.2f} kg)"


def metres(value: float) -> str:
    return f"{value:.1f} m"


def amount(minor: int, currency: str) -> str:
    """An amount without its currency, in the digits that the currency has: "1,250.00"."""
    digits = exponent(currency)
    return f"{Decimal(minor).scaleb(-digits):,.{digits}f}"


def money(minor: int, currency: str) -> str:
    """An amount with its currency: "25.00 EUR"."""
    return f"{amount(minor, currency)} {currency}"


def state_word(state: str) -> str:
    return STATE_WORDS.get(state, state)


@dataclass(frozen=True)
class Menu:
    """The screens that whoever is signed in may open, as (endpoint, word): first those of every hour, then the rest."""

    first: list[tuple[str, str]]
    rest: list[tuple[str, str]]


def menu() -> Menu:
    """Return the menu of whoever is signed in; the present screen stands among the first."""
    actor = context.actor()
    if actor is None or context.g.get("head") is None:
        return Menu([], [])
    mine = [one for one in access.MENU if may(one[0])]
    here = request.blueprint or ""
    rarely = access.NOT_HOURLY_AT.get(context.head().kind, frozenset())
    first = [
        (name, word)
        for name, word, hourly in mine
        if (actor.role in hourly and name not in rarely) or name.split(".")[0] == here
    ]
    return Menu(first, [(name, word) for name, word, _ in mine if (name, word) not in first])


def sentence_start(text: str) -> str:
    """Return text as a sentence begins, names within left as they are."""
    return text[:1].upper() + text[1:]


TIMES = (
    hhmm,
    day_word,
    day_hhmm,
    day_name,
    short_day,
    long_day,
    full_date,
    weekday,
    weekday_hhmm,
    minutes_from_now,
    span,
)
FILTERS = (*TIMES, sentence_start, tension, both_units, metres, amount, money, state_word, plain, shorter, surname)


def add_display(app: Flask) -> None:
    """Give the templates these filters, and what every page shows."""
    for each in FILTERS:
        app.template_filter(each.__name__)(each)
    app.jinja_env.globals.update(
        UNIT_WORDS=UNIT_WORDS,
        MATERIAL_WORDS=MATERIAL_WORDS,
        EXTRA_WORK_WORDS=EXTRA_WORK_WORDS,
        OWN_STRING_WORDS=OWN_STRING_WORDS,
        MATTERS_WORDS=MATTERS_WORDS,
        menu=menu,
        may=may,
        link_to=link_to,
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.context_processor(_page_values)


def may(endpoint: str) -> bool:
    """Tell whether a screen is there, and whoever is signed in may open it."""
    actor = context.actor()
    there = endpoint in current_app.view_functions and access.applies(endpoint)
    return there and access.may(endpoint, actor.role if actor else None)


def link_to(endpoint: str, **values: object) -> str | None:
    """Return the address of a screen, or None where it is not there or not for this role."""
    return url_for(endpoint, **values) if may(endpoint) else None


def _page_values() -> dict[str, object]:
    head = context.g.get("head")
    now = context.event_time() if head else None
    return {
        "event": head,
        "actor": context.actor(),
        "now": now,
        "is_fragment": context.wants_fragment(),
        "is_watched": "plan_watch" in current_app.extensions,
        "stale_since": context.stale_since(),
    }
