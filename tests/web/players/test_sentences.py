"""Each language's sentences as a player reads them: with a time today, with a day, in the plural, with a name in."""

import re
from datetime import datetime

import pytest

from desk.tongues import said_day_in
from desk.web import context
from desk.web.languages import gettext, ngettext
from desk.web.players.player_words import late_word, told_word
from tests import make
from tests.web.catalogues import catalogue
from tests.web.conftest import House

TODAY, TOMORROW = "Mon 14:10", "Tue 09:05"

SENTENCES = {
    "en": (
        "Told at 14:10: ready by",
        "Told at 14:10: ready by",
        "Changed on Tuesday 13 May at 09:05: ready by",
        "Late since Tuesday 13 May at 09:05. We are sorry.",
        "Collect 1 racquet",
        "Collect 3 racquets",
        "Strung, on its way to Court 1",
    ),
    "es": (
        "Anunciado a las 14:10: lista antes de las",
        "Anunciado a las 14:10: lista antes del",
        "Cambiado el martes 13 de mayo a las 9:05: lista antes de las",
        "Con retraso desde el martes 13 de mayo a las 9:05. Lo sentimos.",
        "Recoger 1 raqueta",
        "Recoger 3 raquetas",
        "Encordada, de camino a Court 1",
    ),
    "fr": (
        "Annoncé à 14 h 10 : prête pour",
        "Annoncé à 14 h 10 : prête pour le",
        "Modifié le mardi 13 mai à 9 h 05 : prête pour",
        "En retard depuis le mardi 13 mai à 9 h 05. Toutes nos excuses.",
        "Retirer 1 raquette",
        "Retirer 3 raquettes",
        "Cordée, en route vers Court 1",
    ),
    "de": (
        "Zugesagt um 14:10 Uhr für",
        "Zugesagt um 14:10 Uhr für",
        "Geändert am Dienstag, 13. Mai um 09:05 Uhr, jetzt zugesagt für",
        "Verspätet seit Dienstag, 13. Mai, 09:05 Uhr. Das tut uns leid.",
        "1 Schläger abholen",
        "3 Schläger abholen",
        "Bespannt, unterwegs zu Court 1",
    ),
    "it": (
        "Comunicato alle 14:10: pronta per le",
        "Comunicato alle 14:10: pronta per",
        "Modificato martedì 13 maggio alle 09:05: pronta per le",
        "In ritardo da martedì 13 maggio alle 09:05. Ci scusiamo.",
        "Ritirare 1 racchetta",
        "Ritirare 3 racchette",
        "Incordata, in arrivo al campo: Court 1",
    ),
}


@pytest.mark.parametrize("language", SENTENCES)
def test_sentences_keep_their_grammar_around_dates_plurals_and_names(house: House, language: str) -> None:
    house.write(lambda session, event: make.set_clock(event, "Mon 14:30"))
    today, tomorrow = make.moment(TODAY), make.moment(TOMORROW)
    with house.app.test_request_context(f"/board/x?lang={language}"):
        context.use_event(house.event_id)
        said = (
            told_word(today, today, is_first=True),
            told_word(today, tomorrow, is_first=True),
            told_word(tomorrow, today, is_first=False),
            late_word(tomorrow),
            ngettext("Collect %(num)s racquet", "Collect %(num)s racquets", 1) % {"num": 1},
            ngettext("Collect %(num)s racquet", "Collect %(num)s racquets", 3) % {"num": 3},
            gettext("Strung, on its way to %(court)s") % {"court": "Court 1"},
        )
    assert tuple(sentence.replace("\u00a0", " ") for sentence in said) == SENTENCES[language]


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "Sunday 1 June"),
        ("es", "domingo 1 de junio"),
        ("fr", "dimanche 1er juin"),
        ("de", "Sonntag, 1. Juni"),
        ("it", "domenica 1 giugno"),
    ],
)
def test_a_day_within_a_sentence_is_said_in_full(language: str, said: str) -> None:
    assert said_day_in(language, datetime(2031, 6, 1, 9, 5)) == said


def test_french_keeps_its_double_signs_on_the_line() -> None:
    """A space before : ; ! ? and % does not break ("Lexique des règles typographiques", Imprimerie nationale)."""
    found = [
        text
        for message in catalogue("fr")
        if message.id
        for text in (message.string if isinstance(message.string, tuple) else (message.string,))
        if re.search(r" [:;!?]| %%", text)
    ]
    assert found == []
