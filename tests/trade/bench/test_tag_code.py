import random

import pytest

from desk.trade.bench.tag_code import ALPHABET, make_code, tidy_code
from desk.trade.errors import CodeError

SAMPLES = [0, 1, 18, 19, 360, 361, 6858, 6859, 130320, 19**9 - 1, *random.Random(1).sample(range(10**6), 60)]


def test_codes_of_the_first_racquets_are_four_characters_and_all_different():
    codes = {make_code(serial) for serial in range(19**3)}
    assert len(codes) == 19**3
    assert {len(code) for code in codes} == {4}
    assert len(make_code(19**3)) == 5


def test_no_two_characters_look_alike():
    # Pairs that hands and printers confuse: common practice.
    for group in ("0ODQ", "1IL", "2Z", "5S", "8B", "UV", "6G"):
        assert sum(character in ALPHABET for character in group) <= 1


@pytest.mark.parametrize("serial", SAMPLES)
def test_every_single_wrong_character_is_refused(serial):
    code = make_code(serial)
    for i, right in enumerate(code):
        for wrong in ALPHABET.replace(right, ""):
            with pytest.raises(CodeError):
                tidy_code(code[:i] + wrong + code[i + 1 :])


@pytest.mark.parametrize("serial", SAMPLES)
def test_every_exchange_of_two_neighbours_is_refused(serial):
    code = make_code(serial)
    for i in range(len(code) - 1):
        if code[i] != code[i + 1]:
            with pytest.raises(CodeError):
                tidy_code(code[:i] + code[i + 1] + code[i] + code[i + 2 :])


def test_every_single_error_and_neighbour_exchange_of_all_four_character_codes_is_found():
    codes = {make_code(serial) for serial in range(19**3)}
    for code in codes:
        swapped = {code[:i] + code[i + 1] + code[i] + code[i + 2 :] for i in range(3)} - {code}
        wrong = {code[:i] + other + code[i + 1 :] for i in range(4) for other in ALPHABET} - {code}
        assert not codes & (swapped | wrong)


@pytest.mark.parametrize("shape", ["{}", " {} ", "{}\n"])
def test_small_letters_blanks_and_dashes_are_forgiven(shape):
    code = make_code(123456)
    typed = shape.format(f"{code[:2]}-{code[2:4]} {code[4:]}".lower())
    assert tidy_code(typed) == code


@pytest.mark.parametrize(
    ("typed", "message"),
    [("", "0 characters"), ("34", "2 characters"), ("3" * 11, "11 characters"), ("3O4C", '"O" is in no code')],
)
def test_what_is_no_code_is_refused_with_its_reason(typed, message):
    with pytest.raises(CodeError, match=message):
        tidy_code(typed)


def test_a_code_with_an_idle_first_character_is_refused():
    with pytest.raises(CodeError, match="wrong"):
        tidy_code("3" + make_code(25))


@pytest.mark.parametrize("serial", [-1, 19**9])
def test_a_serial_without_a_code_is_refused(serial):
    with pytest.raises(CodeError, match="has no code"):
        make_code(serial)
