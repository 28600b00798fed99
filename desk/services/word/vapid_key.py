"""The key by which push services know this desk (RFC 8292), made once and kept in the records."""

from __future__ import annotations

from base64 import urlsafe_b64encode
from urllib.parse import urlsplit

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from py_vapid import Vapid02

from desk.installation import setting
from desk.models.database import Database
from desk.services.team.signing_key import kept_secret


def kept_vapid(database: Database) -> Vapid02:
    """Return the desk's own key, the same for every process."""

    def made() -> str:
        return f"{ec.generate_private_key(ec.SECP256R1()).private_numbers().private_value:064x}"

    number = int(kept_secret(database, "vapid", made), 16)
    return Vapid02(ec.derive_private_key(number, ec.SECP256R1()))


def public_part(key: Vapid02) -> str:
    """Return what a browser subscribes with: the uncompressed point as base64url (RFC 8292, 3.2)."""
    point = key.public_key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    return urlsafe_b64encode(point).rstrip(b"=").decode()


def sender_of_settings() -> str:
    """Return how a push service reaches whoever runs this desk: by mail, else by its address (RFC 8292, 2.1)."""
    if setting("DESK_MAIL_FROM"):
        return f"mailto:{setting('DESK_MAIL_FROM')}"
    return f"https://{urlsplit(setting('DESK_PUBLIC_URL')).hostname or 'localhost'}"
