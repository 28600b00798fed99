"""Every language says everything, with the same places to fill in."""

import ast
import re

import pytest

from desk.trade.contacts import LANGUAGES
from tests.web.catalogues import FOLDERS, TRANSLATED, WORDS, catalogue, messages

pytestmark = pytest.mark.slow

PLACES = re.compile(r"%\(\w+\)s|%%|\{\w+\}")


def both(message: str | tuple | list) -> list[str]:
    return [message] if isinstance(message, str) else list(message)


def test_there_are_five_languages() -> None:
    assert tuple(LANGUAGES) == ("en", "es", "fr", "de", "it")


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_catalogue_holds_every_message_and_no_other(language: str) -> None:
    wanted = {(str(message.id), message.context) for message in messages() if message.id}
    assert {(str(message.id), message.context) for message in catalogue(language) if message.id} == wanted


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_message_is_translated_with_its_places(language: str) -> None:
    unlike = []
    for message in catalogue(language):
        if not message.id:
            continue
        wanted = set(PLACES.findall(both(message.id)[-1]))
        if any(not text or set(PLACES.findall(text)) != wanted for text in both(message.string)) or message.fuzzy:
            unlike.append(message.id)
    assert unlike == []


def test_no_message_hides_in_an_f_string_where_it_would_not_be_found() -> None:
    hidden = [
        f"{path.name}:{call.lineno}"
        for folder in FOLDERS
        for path in folder.rglob("*.py")
        for joined in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(joined, ast.JoinedStr)
        for call in ast.walk(joined)
        if isinstance(call, ast.Call) and getattr(call.func, "attr", getattr(call.func, "id", "")) in WORDS
    ]
    assert hidden == []
