import pytest
from hypothesis import given
from hypothesis import strategies as st

from exports.text import clean, guard, like_a_number, width
from tests.exports.unguarded import unguard


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@A1", "\t=1", "\n=1", "＝1", "＋1", "－1", "＠A1"])
def test_guard_marks_text_that_a_spreadsheet_would_run(text):
    assert guard(text)[0] == "'" or guard(text)[1] == "'"
    assert guard(text) != text


@pytest.mark.parametrize("text", ["Alma Arden", "O'Neil", "'t Veld", "53.5 lb", "a=b", "a - b", "", "a; b"])
def test_guard_leaves_other_text_alone(text):
    assert guard(text) == text


def test_guard_marks_what_stands_behind_a_semicolon():
    assert guard("a;=1+1") == "a;'=1+1"


@given(st.text(alphabet=st.sampled_from("='+-@;\t\n\r a＝é🎾"), max_size=12))
def test_unguard_gives_back_what_guard_was_given(text):
    assert unguard(guard(text)) == clean(text)


@given(st.text(alphabet=st.sampled_from("='+-@;\t\n\r a＝"), max_size=12))
def test_guarded_text_begins_no_field_with_a_sign(text):
    for field in guard(text).replace("\n", ";").replace("\t", ";").split(";"):
        assert not field.startswith(("=", "+", "-", "@", "＝"))


@given(st.text(max_size=40))
def test_clean_is_done_at_once(text):
    assert clean(clean(text)) == clean(text)


def test_width_counts_wide_characters_double():
    assert (width("abc"), width("abc\nabcde"), width("🎾a"), width("")) == (3, 5, 3, 0)


@pytest.mark.parametrize(
    "text", ["12MAR", "Sept 2", "1. Mai", "3-Dez", "août 4", "3E5", "1/2", "07:30", "WAHR", "Falso"]
)
def test_text_is_like_a_number_where_a_spreadsheet_would_make_it_one(text):
    """MARCH1 and SEPT2 became dates: Ziemann, Eren, El-Osta, Genome Biology 17 (2016) 177."""
    assert like_a_number(text)


@pytest.mark.parametrize("text", ["Mark 2", "Marlow 12", "May", "Bench 1", "53.5 lb", "K4T2", "Maiden 3", "Wahrburg"])
def test_other_text_is_not_like_a_number(text):
    assert not like_a_number(text)
