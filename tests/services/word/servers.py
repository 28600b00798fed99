"""Servers of our own on this machine: one for e-mail, one that phones are reached by; each answers as it is told."""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import BinaryIO

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID

HOST = "push.example.org"
"""The name on the certificate; it leads to this machine in tests only."""


@dataclass(frozen=True)
class Certificate:
    """A certificate for HOST and `localhost`, its file with the key, and what a client trusts."""

    file: Path

    def of_server(self) -> ssl.SSLContext:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(self.file)
        return context

    def trusted(self) -> ssl.SSLContext:
        return ssl.create_default_context(cafile=str(self.file))


def make_certificate(folder: Path) -> Certificate:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    now = datetime.now(UTC)
    names = x509.SubjectAlternativeName([x509.DNSName(HOST), x509.DNSName("localhost")])
    built = x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
    built = built.serial_number(x509.random_serial_number()).add_extension(names, critical=False)
    built = built.not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=1))
    signed = built.add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
    certificate = signed.sign(key, hashes.SHA256())
    file = folder / "certificate.pem"
    private = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    file.write_bytes(certificate.public_bytes(Encoding.PEM) + private)
    return Certificate(file)


@dataclass
class PushService:
    """What came in: path, headers, body; `status` is the answer, `before_answer` what happens before it."""

    port: int = 0
    status: int = 201
    headers: dict[str, str] = field(default_factory=dict)
    before_answer: Callable[[], None] = lambda: None
    received: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"https://{HOST}:{self.port}/push/phone-1"


@contextmanager
def push_service(certificate: Certificate) -> Iterator[PushService]:
    service = PushService()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            service.received.append((self.path, {name.lower(): value for name, value in self.headers.items()}, body))
            service.before_answer()
            with suppress(OSError):
                self.send_response(service.status)
                for name, value in service.headers.items():
                    self.send_header(name, value)
                self.send_header("Content-Length", "0")
                self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    server.socket = certificate.of_server().wrap_socket(server.socket, server_side=True)
    server.handle_error = lambda *_: None  # type: ignore[method-assign]
    service.port = server.server_address[1]
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield service
    finally:
        server.shutdown()
        server.server_close()


@dataclass
class MailService:
    """What came in, by recipient; `answers` say otherwise at a word (MAIL, RCPT, DATA, or END after the text).

    An answer of "hang" says nothing more; `ears` are what is told of every line.
    """

    port: int = 0
    answers: dict[str, str] = field(default_factory=dict)
    user: str = ""
    password: str = ""
    lines: list[str] = field(default_factory=list)
    received: list[tuple[str, EmailMessage]] = field(default_factory=list)
    before_end: Callable[[], None] = lambda: None


@contextmanager
def mail_service(certificate: Certificate | None = None, *, implicit: bool = False) -> Iterator[MailService]:
    """Serve SMTP (RFC 5321) with STARTTLS (RFC 3207) where there is a certificate, or TLS from the first octet."""
    service = MailService()
    listening = socket.create_server(("127.0.0.1", 0))
    service.port = listening.getsockname()[1]

    def serve() -> None:
        while True:
            try:
                connection, _ = listening.accept()
            except OSError:
                return
            threading.Thread(target=talk, args=(connection,), daemon=True).start()

    def talk(connection: socket.socket) -> None:
        with suppress(OSError):
            if implicit and certificate is not None:
                connection = certificate.of_server().wrap_socket(connection, server_side=True)
            _Talk(service, connection, None if implicit else certificate).go()

    threading.Thread(target=serve, daemon=True).start()
    try:
        yield service
    finally:
        listening.close()


class _Talk:
    """One connection of the mail server."""

    def __init__(self, service: MailService, connection: socket.socket, certificate: Certificate | None) -> None:
        self.service, self.connection, self.certificate = service, connection, certificate
        self.file: BinaryIO = connection.makefile("rb")
        self.to = ""

    def say(self, text: str) -> None:
        self.connection.sendall(f"{text}\r\n".encode())

    def go(self) -> None:
        self.say("220 mail.example.org ready")
        while raw := self.file.readline():
            line = raw.decode().strip()
            self.service.lines.append(line)
            word = line.split(" ")[0].upper()
            answer = self.service.answers.get(word)
            if answer == "hang":
                threading.Event().wait(60)
            elif answer:
                self.say(answer)
            elif not self.usual(word, line):
                return

    def usual(self, word: str, line: str) -> bool:
        if word == "EHLO":
            offers = [*(["STARTTLS"] if self.certificate else []), *(["AUTH PLAIN"] if self.service.user else [])]
            names = ["mail.example.org", *offers]
            self.say("\r\n".join(f"250{'-' if i + 1 < len(names) else ' '}{name}" for i, name in enumerate(names)))
        elif word == "STARTTLS" and self.certificate:
            self.say("220 go ahead")
            self.connection = self.certificate.of_server().wrap_socket(self.connection, server_side=True)
            self.file, self.certificate = self.connection.makefile("rb"), None
        elif word == "AUTH":
            self.say("235 welcome" if self._knows(line) else "535 wrong")
        elif word == "RCPT":
            self.to = line.partition("<")[2].partition(">")[0]
            self.say("250 ok")
        elif word == "DATA":
            self.say("354 go on")
            self._take()
        else:
            self.say("221 bye" if word == "QUIT" else "250 ok")
        return word != "QUIT"

    def _knows(self, line: str) -> bool:
        from base64 import b64decode

        return b64decode(line.split(" ")[2]) == f"\0{self.service.user}\0{self.service.password}".encode()

    def _take(self) -> None:
        text = b""
        for raw in iter(self.file.readline, b".\r\n"):
            text += raw[1:] if raw.startswith(b"..") else raw
        self.service.received.append((self.to, message_from_bytes(text, policy=SMTP)))
        self.service.before_end()
        answer = self.service.answers.get("END", "250 taken")
        if answer == "hang":
            threading.Event().wait(60)
        self.say(answer)
