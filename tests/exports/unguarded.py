"""An independent way back from text that is guarded against spreadsheets."""

import re

from exports.text import like_a_number


def unguard(text: str) -> str:
    """Return the text that `guard` was given, as cleaned: an independent way back."""
    if text.startswith("'") and like_a_number(text[1:]):
        return text[1:]
    return re.sub(r"(^|[;\t\n])('*)'(?=[=+\-@\t\r\n＝＋－＠])", r"\1\2", text)
