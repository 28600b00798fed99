"""What an e-mail address and the address of a push service must look like before anything is sent there."""

from __future__ import annotations

import ipaddress
import re
from urllib.parse import urlsplit

LONGEST_MAIL = 254
"""RFC 5321, 4.5.3.1.3: a path has at most 256 octets, its two brackets among them."""
LONGEST_LOCAL_PART = 64
"""RFC 5321, 4.5.3.1.1."""
LONGEST_ENDPOINT = 1000
HTTPS_PORT = 443
_LOCAL = re.compile(r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*")
_LABEL = re.compile(r"[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?")


def mail_fault(address: str) -> str:
    """Return what is wrong with an e-mail address (RFC 5321 dot-string at a host name), or nothing."""
    local, at, host = address.rpartition("@")
    labels = host.split(".")
    sound = at and len(address) <= LONGEST_MAIL and len(local) <= LONGEST_LOCAL_PART and _LOCAL.fullmatch(local)
    if sound and len(labels) > 1 and all(_LABEL.fullmatch(label) for label in labels) and not labels[-1].isdigit():
        return ""
    return "an address such as name@example.org"


def endpoint_fault(address: str) -> str:
    """Return why nothing is ever pushed to ADDRESS, or nothing: https at a public host name only (RFC 8030, 8)."""
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError:
        return "no address"
    if len(address) > LONGEST_ENDPOINT or not address.isascii() or not address.isprintable() or " " in address:
        return "no address"
    if parts.scheme != "https" or port not in (None, HTTPS_PORT) or parts.username or parts.password:
        return "not plain https"
    labels = (parts.hostname or "").split(".")
    if len(labels) < 2 or not all(_LABEL.fullmatch(label) for label in labels) or labels[-1].isdigit():
        return "not at a public host"
    return ""


def is_public(ip: str) -> bool:
    """Tell whether an IP address is of the public internet: not this machine, its network or a reserved range."""
    try:
        found = ipaddress.ip_address(ip.partition("%")[0])
    except ValueError:
        return False
    inner = getattr(found, "ipv4_mapped", None) or getattr(found, "sixtofour", None)
    return found.is_global and not found.is_multicast and (inner is None or inner.is_global)
