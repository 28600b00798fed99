"""The short code on a racquet's tag, read aloud, typed and scanned.

Nineteen characters that do not look alike: without 0 D O Q, 1 I L, 2 Z, 5 S, 8 B, 6 G (the 6 stays), U (V stays)
and the vowels, so that no word comes out. The last one is a check character by the pure system of ISO/IEC 7064:2003
(weights are powers of a radix modulo a prime) with modulus 19 and radix 2 in place of the standard's own. 19 is
prime and 2 one of its primitive roots, so every single wrong character and every exchange of two characters is found.
"""

import re

from desk.trade.errors import CodeError

ALPHABET = "34679CFHJKMNPRTVWXY"
MODULUS = len(ALPHABET)
RADIX = 2
SHORTEST = 4
LONGEST = 10

_VALUE = {character: value for value, character in enumerate(ALPHABET)}
_IDLE = re.compile(r"[\s\-‐–—.]")


def make_code(serial: int) -> str:
    """The code of a serial number from 0: four characters up to 6 858, then longer."""
    if not 0 <= serial < MODULUS ** (LONGEST - 1):
        raise CodeError(f"{serial} has no code", "Tag", f"Number from 0 up to {MODULUS ** (LONGEST - 1) - 1}.")
    digits, left = "", serial
    while left or len(digits) < SHORTEST - 1:
        left, value = divmod(left, MODULUS)
        digits = ALPHABET[value] + digits
    return digits + _check_character(digits)


def tidy_code(typed: str) -> str:
    """The code as printed, from what was typed: small letters, blanks and dashes are forgiven."""
    code = _IDLE.sub("", typed).upper()
    unknown = next((character for character in code if character not in _VALUE), None)
    if unknown is not None:
        raise CodeError(f'"{unknown}" is in no code', f'Tag "{typed.strip()}"', f"Codes use {ALPHABET}.")
    if not SHORTEST <= len(code) <= LONGEST:
        raise CodeError(f"It has {len(code)} characters", f'Tag "{typed.strip()}"', "Read it from the tag again.")
    if _check_character(code[:-1]) != code[-1] or (len(code) > SHORTEST and code[0] == ALPHABET[0]):
        raise CodeError("A character is wrong", f'Tag "{code}"', "Read it from the tag again.")
    return code


def _check_character(digits: str) -> str:
    """The character that makes the weighted sum 1 modulo 19."""
    total = 0
    for character in digits:
        total = (total + _VALUE[character]) * RADIX % MODULUS
    return ALPHABET[(1 - total) % MODULUS]
