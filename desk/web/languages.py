"""The languages of the pages that players read: chosen by the phone, changed by a link.

Catalogues are `translations/<language>/LC_MESSAGES/messages.po`, compiled when first asked for;
English is the language of the messages themselves. Times are the event's, numbers and dates take
the form of the language.
"""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.dates import format_date, format_skeleton, format_time
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal
from babel.support import NullTranslations, Translations
from flask import g, request
from flask.blueprints import BlueprintSetupState

from desk.trade.contacts import LANGUAGES
from desk.trade.event.money import Money
from desk.web import context

LOCALES = {"en": "en_GB", "es": "es_ES", "fr": "fr_FR", "de": "de_DE", "it": "it_IT"}
FOLDER = Path(__file__).parent / "translations"


def catalogue_path(language: str) -> Path:
    """Return the file of a language's messages."""
    return FOLDER / language / "LC_MESSAGES" / "messages.po"


@cache
def translations(language: str) -> NullTranslations:
    """Return the messages in LANGUAGE."""
    if language == "en":
        return NullTranslations()
    compiled = BytesIO()
    with catalogue_path(language).open("rb") as file:
        write_mo(compiled, read_po(file, locale=language))
    compiled.seek(0)
    return Translations(compiled)


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
    local = context.clock().local(moment)
    if language() == "fr":
        return f"{local.hour} h {local.minute:02}"
    return format_time(local.replace(tzinfo=None), "short", locale=_locale())


def local_day(moment: datetime) -> str:
    """The day where it is not today's: "Mon 12 May"; nothing today."""
    local, today = context.clock().local(moment), context.clock().local(context.event_time())
    if local.date() == today.date():
        return ""
    return format_skeleton("MMMEd", local.replace(tzinfo=None), locale=_locale())


def local_when(moment: datetime) -> str:
    """The time, with its day where that is not today."""
    return f"{local_day(moment)} {local_time(moment)}".strip()


def local_at(moment: datetime) -> str:
    """When something was, inside of a sentence: "at 13:05", "on Mon 12 May at 13:05"."""
    day, time = local_day(moment), local_time(moment)
    if day:
        return gettext("on %(day)s at %(time)s") % {"day": day, "time": time}
    return gettext("at %(time)s") % {"time": time}


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
    for each in (local_time, local_day, local_when, local_at, local_long_day, local_money, local_number):
        environment.filters[each.__name__] = each
    environment.globals.update(LANGUAGES=LANGUAGES, language=language)
