"""Text that a file format can hold and a spreadsheet cannot run."""

import re

MAX_CELL_CHARS = 32_767
"""Most characters in one cell: "Excel specifications and limits", support.microsoft.com."""

_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0, section 2.2, leaves out of its characters."""

_RUNNABLE = re.compile(r"(^|[;\t\n])('*)(?=[=+\-@\t\r\n＝＋－＠])")

_GUARDED = re.compile(r"(^|[;\t\n])('*)'(?=[=+\-@\t\r\n＝＋－＠])")

_NUMERIC = re.compile(r"[\d.,:/ \u00a0-]*\d[\d.,:/ \u00a0-]*%?|\d[\d.,]*[eE][+-]?\d+")
"""Digits with what stands between them in numbers, dates and times of any country; and powers of ten."""

_MONTHS = (
    "january february march april may june july august september october november december sept "
    "januar februar märz mai juni juli oktober dezember "
    "janvier février mars avril juin juillet juil août septembre octobre novembre décembre "
    "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre "
    "gennaio febbraio aprile maggio giugno luglio settembre ottobre dicembre"
)
_MONTH = "|".join(sorted({word for name in _MONTHS.split() for word in (name, name[:3])}, key=len, reverse=True))
_DATED = re.compile(rf"\d{{1,4}}[-./ ]*({_MONTH})\.?|({_MONTH})\.?[-./ ]*\d{{1,4}}", re.IGNORECASE)
"""A number beside a month in one of the five languages: 12MAR, Sept 2
(M. Ziemann, Y. Eren, A. El-Osta, "Gene name errors are widespread in the scientific literature", 2016)."""

_TRUTH = {"true", "false", "wahr", "falsch", "vrai", "faux", "verdadero", "falso", "vero"}

_MAY_RUN = re.compile(r"^[=+\-@\t\n＝＋－＠']|[;\t\n]")


def clean(text: str) -> str:
    """Return the text without characters that no XML file may hold, line ends as ``\\n``, cut to one cell."""
    if text.isprintable() and len(text) <= MAX_CELL_CHARS:
        return text
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return _UNWRITABLE.sub("", text)[:MAX_CELL_CHARS]


def guard(text: str) -> str:
    """Return the text so that no spreadsheet runs it when it opens a CSV file.

    A spreadsheet takes a field for a formula when it begins with ``=``, ``+``, ``-`` or ``@`` (or their full-width
    forms), also behind a tab or a line end, and behind a semicolon where that separates fields. An apostrophe is
    put before it, as the OWASP page "CSV Injection" advises: of the ways named there it is the one that loses
    nothing.
    """
    text = clean(text)
    return _RUNNABLE.sub(r"\1\2'", text) if _MAY_RUN.search(text) else text


def unguarded(text: str) -> str:
    """Return the text that `guard` was given, without the apostrophe that it put before what could run."""
    return _GUARDED.sub(r"\1\2", text) if "'" in text else text


def like_a_number(text: str) -> bool:
    """Whether a spreadsheet would take a text for a number, a date, a time or a truth: 1.25, 3E5, 12MAR, WAHR."""
    bare = text.strip()
    return bool(_NUMERIC.fullmatch(bare) or _DATED.fullmatch(bare)) or bare.casefold() in _TRUTH


def width(text: str) -> int:
    """Width of the longest line in characters, wide ones (East Asian, emoji) counted double."""
    if text.isascii() and "\n" not in text:
        return len(text)
    return max((sum(1 + (ord(c) > 0x2E80) for c in line) for line in text.split("\n")), default=0)
