"""Each language's sentences as a player reads them: with a time today, with a day, in the plural, with a name in."""

from __future__ import annotations

import pytest

from desk.web import context
from desk.web.languages import gettext, ngettext
from desk.web.players.player_words import late_word, told_word
from tests import make
from tests.web.conftest import House

TODAY, TOMORROW = "Mon 14:10", "Tue 09:05"

SENTENCES = {
    "en": (
        "Told at 14:10: ready by",
        "Told at 14:10: ready by",
        "Changed on Tue 13 May at 09:05: ready by",
        "Late since Tue 13 May 09:05. We are sorry.",
        "Collect 1 racquet",
        "Collect 3 racquets",
        "Strung, on its way to Court 1",
    ),
    "es": (
        "Anunciado a las 14:10: lista antes de las",
        "Anunciado a las 14:10: lista antes del",
        "Cambiado el mar, 13 may a las 9:05: lista antes de las",
        "Con retraso desde el mar, 13 may 9:05. Lo sentimos.",
        "Recoger 1 raqueta",
        "Recoger 3 raquetas",
        "Encordada, de camino a Court 1",
    ),
    "fr": (
        "Annoncé à 14 h 10 : prête pour",
        "Annoncé à 14 h 10 : prête pour le",
        "Modifié le mar. 13 mai à 9 h 05 : prête pour",
        "En retard depuis le mar. 13 mai 9 h 05. Toutes nos excuses.",
        "Retirer 1 raquette",
        "Retirer 3 raquettes",
        "Cordée, en route vers Court 1",
    ),
    "de": (
        "Zugesagt um 14:10 für",
        "Zugesagt um 14:10 für",
        "Geändert am Di., 13. Mai um 09:05, jetzt zugesagt für",
        "Verspätet seit Di., 13. Mai 09:05. Es tut uns leid.",
        "1 Schläger abholen",
        "3 Schläger abholen",
        "Bespannt, unterwegs zu Court 1",
    ),
    "it": (
        "Comunicato alle 14:10: pronta per le",
        "Comunicato alle 14:10: pronta per",
        "Modificato mar 13 mag alle 09:05: pronta per le",
        "In ritardo da mar 13 mag 09:05. Ci scusiamo.",
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
    assert said == SENTENCES[language]
