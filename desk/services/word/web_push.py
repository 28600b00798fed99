"""Web push (RFC 8030): a message encrypted for one phone (RFC 8291) and signed by the desk (RFC 8292).

The service is spoken to at a checked address only: https at a public host, the connection made to the very IP address
that was checked, no redirect followed.
"""

from __future__ import annotations

import http.client
import json
import os
import socket
import ssl
import time
from collections.abc import Callable
from datetime import timedelta
from urllib.parse import urlsplit

import http_ece
from cryptography.hazmat.primitives.asymmetric import ec
from py_vapid import Vapid02, VapidException

from desk.queries.word.letters import Letter
from desk.services.word.deadline import STEP_SECONDS, addresses_of, within_deadline
from desk.services.word.sending import Outcome
from desk.services.word.word_ways import unpacked
from desk.trade.addresses import HTTPS_PORT, endpoint_fault, is_public

KEPT_SECONDS = 4 * 3600
"""How long the push service keeps a message for a phone that is off (TTL, RFC 8030, 5.2)."""
SIGNED_SECONDS = 12 * 3600
"""RFC 8292, 2: at most 24 hours."""
MOST_OCTETS = 3000
"""RFC 8291, 4 lets a record of 4096 octets through; what is said stays well below."""
GONE = (404, 410)
"""RFC 8030, 7.3: the subscription is no more."""
TRY_AGAIN = (408, 425, 429, 500, 502, 503, 504)


class PushDoor:
    """Gives messages to push services; RESOLVE, MAY_GO_TO and TLS are what a test puts in place of the internet's."""

    def __init__(
        self,
        key: Vapid02,
        sender: str,
        *,
        resolve: Callable[[str, int], list[str]] = addresses_of,
        may_go_to: Callable[[str], bool] = is_public,
        fault: Callable[[str], str] = endpoint_fault,
        tls: ssl.SSLContext | None = None,
    ) -> None:
        self.key, self.sender = key, sender
        self.resolve, self.may_go_to, self.fault = resolve, may_go_to, fault
        self.tls = tls or ssl.create_default_context()

    def send(self, letter: Letter) -> Outcome:
        """Give one message to the phone's push service and tell what became of it."""
        if fault := self.fault(letter.address):
            return Outcome(state="failed", why=f"its push service is {fault}")
        try:
            body, headers = self._sealed(letter)
        except (ValueError, VapidException, http_ece.ECEException) as error:
            return Outcome(state="failed", why=f"it cannot be encrypted for this phone ({type(error).__name__})")
        parts = urlsplit(letter.address)
        port = parts.port or HTTPS_PORT
        try:
            connection = self._connected(parts.hostname or "", port)
        except (OSError, ssl.SSLError) as error:
            return Outcome(state="again", why=f"the push service cannot be reached ({_plain(error)})")
        target = f"{parts.path or '/'}{f'?{parts.query}' if parts.query else ''}"
        return _posted(connection, target, body, headers)

    def _sealed(self, letter: Letter) -> tuple[bytes, dict[str, str]]:
        words = {
            "title": letter.title,
            "body": "\n".join([*letter.lines, letter.place]),
            "lang": letter.language,
            "url": letter.page,
            "tag": letter.token,
        }
        plain = json.dumps(words, ensure_ascii=False).encode()
        while len(plain) > MOST_OCTETS:
            words["body"] = words["body"][: len(words["body"]) * 2 // 3] + "…"
            plain = json.dumps(words, ensure_ascii=False).encode()
        body = http_ece.encrypt(
            plain,
            salt=os.urandom(16),
            private_key=ec.generate_private_key(ec.SECP256R1()),
            dh=unpacked(letter.public_key),
            auth_secret=unpacked(letter.auth_secret),
            version="aes128gcm",
        )
        parts = urlsplit(letter.address)
        origin = f"https://{parts.netloc}"
        claims = {"aud": origin, "exp": int(time.time()) + SIGNED_SECONDS, "sub": self.sender}
        headers = self.key.sign(claims) | {
            "Content-Encoding": "aes128gcm",
            "Content-Type": "application/octet-stream",
            "TTL": str(KEPT_SECONDS),
            "Urgency": "high",
        }
        return body, headers

    def _connected(self, host: str, port: int) -> http.client.HTTPSConnection:
        """Return a connection to HOST at an address that was checked, or raise OSError."""
        found = self.resolve(host, port)
        if not found or not all(self.may_go_to(ip) for ip in found):
            raise OSError("its address is not public")
        plain = socket.create_connection((found[0], port), timeout=STEP_SECONDS)
        try:
            with within_deadline(lambda: plain, STEP_SECONDS):
                secured = self.tls.wrap_socket(plain, server_hostname=host)
        except BaseException:
            plain.close()
            raise
        connection = http.client.HTTPSConnection(host, port, timeout=STEP_SECONDS, context=self.tls)
        connection.sock = secured
        return connection


def _posted(connection: http.client.HTTPSConnection, target: str, body: bytes, headers: dict[str, str]) -> Outcome:
    sock = connection.sock
    try:
        with within_deadline(lambda: sock):
            connection.request("POST", target, body, headers)
            answer = connection.getresponse()
            return _understood(answer.status, answer.getheader("Retry-After", ""))
    except (OSError, http.client.HTTPException) as error:
        return Outcome(state="uncertain", why=f"the push service gave no answer ({_plain(error)}); it may have arrived")
    finally:
        connection.close()


def _understood(status: int, retry_after: str) -> Outcome:
    if 200 <= status < 300:
        return Outcome(state="sent")
    if status in GONE:
        return Outcome(state="gone", why="the phone has ended it")
    if status in TRY_AGAIN:
        after = timedelta(seconds=int(retry_after)) if retry_after.isdecimal() and len(retry_after) < 6 else None
        return Outcome(state="again", why=f"the push service is not ready (answer {status})", after=after)
    return Outcome(state="failed", why=f"the push service refused it (answer {status})")


def _plain(error: BaseException) -> str:
    """Return the kind of a failure without what it was about: an address may stand in its text."""
    if isinstance(error, TimeoutError):
        return "no answer in time"
    text = str(error)
    return text if text in ("its name is not known", "its address is not public") else type(error).__name__
