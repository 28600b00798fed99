"""E-mail through the event's own SMTP server, one message to one address."""

from __future__ import annotations

import smtplib
import socket
import ssl
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from desk.errors import BadInput
from desk.installation import number_setting, setting
from desk.queries.word.letters import Letter
from desk.services.word.deadline import STEP_SECONDS, within_deadline
from desk.services.word.sending import Outcome
from desk.tongues import colon_in
from desk.trade.addresses import mail_fault

KINDS: dict[type[BaseException], str] = {
    TimeoutError: "no answer in time",
    smtplib.SMTPServerDisconnected: "it broke off",
    smtplib.SMTPNotSupportedError: "it offers no TLS or no sign-in",
    ssl.SSLError: "its certificate is not good",
    ConnectionRefusedError: "nobody answers there",
    socket.gaierror: "its name is not known",
}
TLS_KINDS = ("starttls", "tls", "none")


@dataclass(frozen=True, kw_only=True)
class MailServer:
    """The SMTP server of the settings; `tls` is starttls (RFC 3207), tls from the first octet (RFC 8314), or none.

    The password is in no text that is made of this.
    """

    host: str
    port: int
    tls: str
    user: str
    sender: str
    public_url: str

    def __post_init__(self) -> None:
        if self.tls not in TLS_KINDS:
            raise BadInput(f"DESK_MAIL_TLS is “{self.tls}”; it must be one of {', '.join(TLS_KINDS)}.")
        if self.user and self.tls == "none":
            raise BadInput("DESK_MAIL_USER needs DESK_MAIL_TLS: a password does not go over an open line.")
        if fault := mail_fault(self.sender):
            raise BadInput(f"DESK_MAIL_FROM is no address; it must be {fault}.")


def server_of_settings() -> MailServer | None:
    """Return the server of the settings; None where none is named; refused when a setting cannot be."""
    if not setting("DESK_MAIL_HOST"):
        return None
    return MailServer(
        host=setting("DESK_MAIL_HOST"),
        port=int(number_setting("DESK_MAIL_PORT", 1, 65535)),
        tls=setting("DESK_MAIL_TLS"),
        user=setting("DESK_MAIL_USER"),
        sender=setting("DESK_MAIL_FROM"),
        public_url=setting("DESK_PUBLIC_URL").rstrip("/"),
    )


def compose(server: MailServer, letter: Letter, at: datetime) -> EmailMessage:
    """Return the message: plain text, marked as made by a machine (RFC 3834), ended by one touch (RFC 8058)."""
    message = EmailMessage()
    message["From"] = Address(letter.event[:60], addr_spec=server.sender)
    message["To"] = letter.address
    message["Subject"] = " ".join(f"{letter.title} · {letter.event}".split())
    message["Date"] = format_datetime(at)
    message["Message-ID"] = f"<{letter.token}@{server.sender.rpartition('@')[2]}>"
    message["Auto-Submitted"] = "auto-generated"
    stop = f"{server.public_url}{letter.stop}"
    if server.public_url.startswith("https://"):
        message["List-Unsubscribe"] = f"<{stop}>"
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    text = [
        *letter.lines,
        "",
        letter.place,
        f"{server.public_url}{letter.page}",
        "",
        f"{letter.stop_words}{colon_in(letter.language)} {stop}",
        "",
    ]
    message.set_content("\n".join(text), cte="quoted-printable")
    message["Content-Language"] = letter.language
    return message


class MailDoor:
    """Sends messages through one server; TLS is what a test puts in place of the usual checks."""

    def __init__(self, server: MailServer, password: str, *, tls: ssl.SSLContext | None = None) -> None:
        self.server, self._password = server, password
        self.tls = tls or ssl.create_default_context()

    def send(self, letter: Letter, at: datetime) -> Outcome:
        """Send one message and tell what became of it.

        All that goes wrong before its text is given away is tried again; where the text was given and no answer
        came, it may have arrived.
        """
        message = compose(self.server, letter, at)
        smtp = None
        try:
            smtp = self._connected()
            with within_deadline(lambda: smtp.sock if smtp else None):
                self._greeted(smtp)
                _addressed(smtp, self.server.sender, letter.address)
        except smtplib.SMTPAuthenticationError as error:
            _hang_up(smtp)
            return Outcome(
                state="failed", why=f"the mail server refused its user or password (answer {error.smtp_code})"
            )
        except smtplib.SMTPResponseException as error:
            _hang_up(smtp)
            return _refused(error.smtp_code)
        except (OSError, smtplib.SMTPException, ssl.SSLError) as error:
            _hang_up(smtp)
            return Outcome(state="again", why=f"the mail server cannot be used ({_kind(error)})")
        try:
            with within_deadline(lambda: smtp.sock):
                code, _ = smtp.data(message.as_bytes(policy=SMTP))
        except smtplib.SMTPDataError as error:
            return _refused(error.smtp_code)
        except (OSError, smtplib.SMTPException) as error:
            return Outcome(
                state="uncertain", why=f"the mail server gave no answer ({_kind(error)}); it may have arrived"
            )
        finally:
            _hang_up(smtp)
        return Outcome(state="sent") if code == 250 else _refused(code)

    def _connected(self) -> smtplib.SMTP:
        if self.server.tls == "tls":
            return smtplib.SMTP_SSL(self.server.host, self.server.port, timeout=STEP_SECONDS, context=self.tls)
        return smtplib.SMTP(self.server.host, self.server.port, timeout=STEP_SECONDS)

    def _greeted(self, smtp: smtplib.SMTP) -> None:
        smtp.ehlo_or_helo_if_needed()
        if self.server.tls == "starttls":
            smtp.starttls(context=self.tls)
            smtp.ehlo_or_helo_if_needed()
        if self.server.user:
            smtp.login(self.server.user, self._password)


def _addressed(smtp: smtplib.SMTP, sender: str, address: str) -> None:
    for command, argument in ((smtp.mail, sender), (smtp.rcpt, address)):
        code, answer = command(argument)
        if code not in (250, 251):
            raise smtplib.SMTPResponseException(code, answer)


def _refused(code: int) -> Outcome:
    """Return what an answer means: 4yz may go later, 5yz never (RFC 5321, 4.2.1). Its text may hold the address."""
    if 400 <= code < 500:
        return Outcome(state="again", why=f"the mail server asks to wait (answer {code})")
    return Outcome(state="failed", why=f"the mail server refused it (answer {code})")


def _kind(error: BaseException) -> str:
    """Return the kind of a failure in words; its own text may hold an address."""
    return next((words for kind, words in KINDS.items() if isinstance(error, kind)), type(error).__name__)


def _hang_up(smtp: smtplib.SMTP | None) -> None:
    if smtp is not None:
        smtp.close()
