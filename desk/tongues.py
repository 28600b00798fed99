"""The languages of whoever reads pages and messages of the desk: their catalogues, and how each writes times and days.

Catalogues are `web/translations/<language>/LC_MESSAGES/messages.po`, compiled when first asked for;
English is the language of the messages themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.dates import format_date, format_skeleton, format_time
from babel.lists import format_list
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.support import NullTranslations, Translations

LOCALES = {"en": "en_GB", "es": "es_ES", "fr": "fr_FR", "de": "de_DE", "it": "it_IT"}
SAID_DAYS = {"de": "EEEE, d. MMMM", "es": "EEEE d 'de' MMMM"}
FOLDER = Path(__file__).parent / "web" / "translations"


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


def time_in(language: str, local: datetime) -> str:
    """A wall clock in the language's form: "13:05", in French "13 h 05"."""
    if language == "fr":
        return f"{local.hour}\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}{local.minute:02}"
    return format_time(local.replace(tzinfo=None), "short", locale=LOCALES[language])


def day_in(language: str, local: datetime) -> str:
    """A day in the language's form: "Mon 12 May"."""
    return format_skeleton("MMMEd", local.replace(tzinfo=None), locale=LOCALES[language])


def said_day_in(language: str, local: datetime) -> str:
    """A day as it is said within a sentence: "Monday 12 May", "lunes 12 de mayo", in French "lundi 1er juin"."""
    if language == "fr" and local.day == 1:
        return format_date(local.date(), "EEEE '1er' MMMM", locale=LOCALES[language])
    return format_date(local.date(), SAID_DAYS.get(language, "EEEE d MMMM"), locale=LOCALES[language])


def colon_in(language: str) -> str:
    """The colon behind a word, in French with the space that belongs before it."""
    return "\N{NO-BREAK SPACE}:" if language == "fr" else ":"


def list_in(language: str, words: Sequence[str]) -> str:
    """Words one after another: "1, 2 and 4"."""
    return format_list(words, locale=LOCALES[language])
