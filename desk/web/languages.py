"""The languages of the pages that players read: chosen by the phone, changed by a link.

Times are the event's, numbers and dates take the form of the language.
"""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from babel.dates import format_date
from babel.numbers import format_decimal
from flask import g, request
from flask.blueprints import BlueprintSetupState

from desk.tongues import LOCALES, colon_in, day_in, said_day_in, time_in, translations
from desk.trade.contacts import LANGUAGES
from desk.trade.event.money import Money
from desk.web import context


def language() -> str:
    """Return the language of this request: the one asked for, else the best that the phone reads."""
    if "language" not in g:
        asked = request.args.get("lang", "")
        g.language = asked if asked in LANGUAGES else request.accept_languages.best_match(LANGUAGES, "en")
    return g.language


def gettext(message: str) -> str:
    return translations(language()).ugettext(message)


def ngettext(one: str, many: str, count: int) -> str:
    return translations(language()).ungettext(one, many, count)


def pgettext(context_word: str, message: str) -> str:
    """Return a message that reads otherwise in a context, such as before a time that has its day."""
    return translations(language()).upgettext(context_word, message)


def _locale() -> str:
    return LOCALES[language()]


def local_time(moment: datetime) -> str:
    """The event's wall clock in the language's form: "13:05", in French "13 h 05"."""
    return time_in(language(), context.clock().local(moment))


def local_day(moment: datetime) -> str:
    """The day where it is not today's: "Mon 12 May"; nothing today."""
    local, today = context.clock().local(moment), context.clock().local(context.event_time())
    if local.date() == today.date():
        return ""
    return day_in(language(), local)


def local_when(moment: datetime) -> str:
    """The time, with its day where that is not today."""
    return f"{local_day(moment)} {local_time(moment)}".strip()


def local_at(moment: datetime) -> str:
    """When something was, inside of a sentence: "at 13:05", "on Monday 12 May at 13:05"."""
    time = local_time(moment)
    if local_day(moment):
        return gettext("on %(day)s at %(time)s") % {"day": _said_day(moment), "time": time}
    return gettext("at %(time)s") % {"time": time}


def local_since(moment: datetime) -> str:
    """A time behind since, until or ready by: "13:05", "Monday 12 May at 13:05"."""
    if local_day(moment):
        return gettext("%(day)s at %(time)s") % {"day": _said_day(moment), "time": local_time(moment)}
    return pgettext("clock", "%(time)s") % {"time": local_time(moment)}


def colon() -> str:
    """The colon behind a word."""
    return colon_in(language())


def _said_day(moment: datetime) -> str:
    return said_day_in(language(), context.clock().local(moment))


def local_long_day(moment: datetime) -> str:
    """A day in full."""
    return format_date(context.clock().local(moment).date(), "full", locale=_locale())


def local_money(minor: int, currency: str) -> str:
    """An amount with its currency in the language's form: "30,50 €"."""
    return Money(minor, currency).display(str(_locale()))


def local_number(value: Decimal | int) -> str:
    """A number in the language's form: "52,5"."""
    return format_decimal(value, locale=_locale())


def add_languages(state: BlueprintSetupState) -> None:
    """Give the templates their messages and these filters."""
    environment = state.app.jinja_env
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_callables(gettext, ngettext, newstyle=True)  # type: ignore[attr-defined]
    for each in (local_time, local_day, local_when, local_at, local_since, local_long_day, local_money, local_number):
        environment.filters[each.__name__] = each
    environment.globals.update(LANGUAGES=LANGUAGES, language=language, colon=colon)
