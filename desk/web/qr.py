"""QR codes as drawings within a page, and the address that they lead to."""

from __future__ import annotations

import segno
from flask import request, url_for
from markupsafe import Markup

from desk.installation import setting


def public_address(path: str) -> str:
    """Return PATH at the address that players reach: the setting, or the one this page was asked by."""
    return (setting("DESK_PUBLIC_URL") or request.host_url).rstrip("/") + path


def player_link(token: str, code: str = "") -> str:
    """Return a player's link; with a tag's code at its end the desk's scanners open the racquet itself."""
    return public_address(url_for("player_page.page", token=token, **({"code": code} if code else {})))


def contact_link(token: str) -> str:
    """Return the link of a contact: a coach, an agent."""
    return public_address(url_for("contact_page.page", contact_token=token))


def qr_drawing(text: str) -> Markup:
    """Return TEXT as an SVG in black on white with the quiet zone of four modules (ISO/IEC 18004)."""
    code = segno.make_qr(text, error="m", boost_error=False)
    width, height = code.symbol_size(border=4)
    path = code.svg_inline(border=4, omitsize=True, light="#fff", svgclass="qr", lineclass=None, title="QR code")
    assert f'viewBox="0 0 {width} {height}"' in path
    return Markup(path)
