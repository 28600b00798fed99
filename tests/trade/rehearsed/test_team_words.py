"""Teams in words."""

import pytest

from desk.trade.errors import TradeError
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.team_words import TeamWords, read_team, shifts_of, with_breaks

LATE = (570, 1470)
DAY = DayHours(number=0, midnight=0, opens=480, closes=1260)


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("5 from 8 to 20", TeamWords(said="5 from 8 to 20", people=5, hours=(480, 1200))),
        ("6 with a late shift", TeamWords(said="6 with a late shift", people=6, late_shift=True)),
        ("As  planned", TeamWords(said="as planned")),
        ("as planned less a machine", TeamWords(said="as planned less a machine", more_machines=-1)),
        ("as planned with a stringer", TeamWords(said="as planned with a stringer", more_people=1)),
        ("6 at 5 from 9:30 to 24:30", TeamWords(said="6 at 5 from 9:30 to 24:30", people=6, machines=5, hours=LATE)),
    ],
)  # fmt: skip
def test_a_team_is_read_from_words(said, read):
    assert read_team(said) == read


@pytest.mark.parametrize("said", ["", "many", "5 from 20 to 8", "five from 8 to 20", "as planned less"])
def test_other_words_are_refused_with_what_can_be_said(said):
    with pytest.raises(TradeError):
        read_team(said)


def test_everybody_has_breaks_and_not_all_at_once():
    first, second = with_breaks((480, 1200), 0), with_breaks((480, 1200), 1)
    assert first == [(480, 750), (780, 1050), (1080, 1200)]
    assert second[0] == (480, 730)
    assert all(b - a <= 270 + 60 + 30 for spans in (first, second) for a, b in spans)


def test_every_third_works_late():
    words = read_team("3 with a late shift")
    spans = [shifts_of(words, number, [DAY]) for number in range(3)]
    assert [(s[0][0], s[-1][1]) for s in spans] == [(480, 1020), (480, 1020), (720, 1260)]
