"""Names as they are searched and shown."""

import pytest

from desk.trade.event.names import display_name, search_name, shorter


@pytest.mark.parametrize(
    ("name", "searched"),
    [
        ("Nuño Belvarés", "nuno belvares"),
        ("Søs  Hovemark", "sos hovemark"),
        ("ŁUCJA Strauß-Đorn", "lucja strauss-dorn"),
        ("İlke Ünalmar", "ilke unalmar"),
    ],
)
def test_a_searched_name_has_small_letters_without_accents(name: str, searched: str) -> None:
    assert search_name(name) == searched


@pytest.mark.parametrize(("style", "shown"), [("full", "Ilka Torvane-Mees"), ("initials", "I. T.-M."), ("tag", "K7Q2")])
def test_a_name_is_shown_as_the_event_chooses(style: str, shown: str) -> None:
    assert display_name("Ilka Torvane-Mees", style, "K7Q2") == shown


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Ilka Torvane-Mees", "Ilka Torvane-Mees"),
        ("Maximiliano Alejandro Etxeberria-Goikoetxea", "M. A. Etxeberria-Goikoetxea"),
        ("Etxeberriagoikoetxeabengoetxea", "Etxeberriagoikoetxeabengoetxea"),
    ],
)
def test_a_long_name_keeps_its_surname(name: str, shown: str) -> None:
    assert shorter(name, 24) == shown


def test_an_unknown_way_to_show_a_name_is_refused() -> None:
    with pytest.raises(ValueError, match="full, initials, tag"):
        display_name("Ilka", "nickname")
