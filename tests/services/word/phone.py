"""A phone of our own: its keys, and what it makes of a push message, written from RFC 8291 and RFC 8292 alone."""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass
from typing import Self

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

CURVE = ec.SECP256R1()


def packed(octets: bytes) -> str:
    return urlsafe_b64encode(octets).rstrip(b"=").decode()


def unpacked(text: str) -> bytes:
    return urlsafe_b64decode(text + "=" * (-len(text) % 4))


def point(key: ec.EllipticCurvePublicKey) -> bytes:
    return key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


@dataclass(frozen=True)
class Phone:
    """Keys of a subscription: a private key on P-256 and a secret of 16 octets (RFC 8291, 3.1 and 3.2)."""

    private: ec.EllipticCurvePrivateKey
    secret: bytes

    @classmethod
    def new(cls) -> Self:
        return cls(ec.generate_private_key(CURVE), bytes(range(16)))

    @property
    def keys(self) -> dict[str, str]:
        return {"p256dh": packed(point(self.private.public_key())), "auth": packed(self.secret)}

    def read(self, body: bytes) -> bytes:
        """Decrypt an aes128gcm body of one record (RFC 8188, 2.1; keys by RFC 8291, 3.4); raises if it was changed."""
        salt, size, length = body[:16], int.from_bytes(body[16:20], "big"), body[20]
        sender, sealed = body[21 : 21 + length], body[21 + length :]
        assert len(sealed) <= size
        shared = self.private.exchange(ec.ECDH(), ec.EllipticCurvePublicKey.from_encoded_point(CURVE, sender))
        about = b"WebPush: info\x00" + point(self.private.public_key()) + sender
        key = _derived(shared, self.secret, about, 32)
        content = _derived(key, salt, b"Content-Encoding: aes128gcm\x00", 16)
        nonce = _derived(key, salt, b"Content-Encoding: nonce\x00", 12)
        padded = AESGCM(content).decrypt(nonce, sealed, None).rstrip(b"\x00")
        # RFC 8188, 2: the last record ends with the octet 2.
        assert padded[-1] == 2
        return padded[:-1]


def _derived(key: bytes, salt: bytes, about: bytes, length: int) -> bytes:
    return HKDF(hashes.SHA256(), length, salt, about).derive(key)


def vapid_claims(header: str) -> tuple[dict, dict, str]:
    """Return head, claims and key of an Authorization header whose signature holds (RFC 8292, 2 and 3; ES256)."""
    scheme, _, parts = header.partition(" ")
    assert scheme == "vapid"
    named = dict(part.strip().split("=", 1) for part in parts.split(","))
    signed, _, signature = named["t"].rpartition(".")
    octets = unpacked(signature)
    assert len(octets) == 64
    r, s = (int.from_bytes(half, "big") for half in (octets[:32], octets[32:]))
    key = ec.EllipticCurvePublicKey.from_encoded_point(CURVE, unpacked(named["k"]))
    key.verify(encode_dss_signature(r, s), signed.encode(), ec.ECDSA(hashes.SHA256()))
    head, claims = (json.loads(unpacked(part)) for part in signed.split("."))
    return head, claims, named["k"]
