"""The page of a sheet of drop-offs, as a browser would send it on."""

import re
from html import unescape

FIELDS = r'name="(checked|name|request_key)" type="hidden" value="([^"]*)"'


def fields_of(page: str) -> dict[str, object]:
    """Return what the page's form sends along: the rows that it shows to be taken in among it."""
    found = {name: unescape(value) for name, value in re.findall(FIELDS, page)}
    return found | {"row": re.findall(r'name="row" value="(\d+)"', page)}
