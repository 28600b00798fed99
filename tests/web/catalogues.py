"""The messages that players read, taken from the code; `python -m tests.web.catalogues` adds new ones to each file."""

from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from desk.tongues import catalogue_path
from desk.trade.contacts import LANGUAGES

DESK = Path(__file__).parents[2] / "desk"
FOLDERS = (DESK / "web", DESK / "queries" / "word")
METHODS = [("templates/**.html", "jinja2.ext:babel_extract"), ("**.py", "python")]
WORDS = {"_": None, "gettext": None, "ngettext": (1, 2), "pgettext": ((1, "c"), 2)}
TRANSLATED = tuple(language for language in LANGUAGES if language != "en")


def messages() -> Catalog:
    """Return every message of templates and modules."""
    found = Catalog()
    for folder in FOLDERS:
        for _path, _line, message, _comments, context in extract_from_dir(folder, METHODS, keywords=WORDS):
            found.add(message, context=context)
    return found


def catalogue(language: str) -> Catalog:
    with catalogue_path(language).open("rb") as file:
        return read_po(file, locale=language)


def main() -> None:
    wanted = messages()
    for language in TRANSLATED:
        found = catalogue(language)
        found.update(wanted, no_fuzzy_matching=True)
        found.obsolete.clear()
        with catalogue_path(language).open("wb") as file:
            write_po(file, found, width=100, sort_output=True, no_location=True)


if __name__ == "__main__":
    main()
