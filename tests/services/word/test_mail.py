"""E-mail as a server of our own sees it, and what each of its answers means."""

import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from desk.errors import BadInput
from desk.services.word import deadline, mail
from desk.services.word.mail import MailDoor, MailServer, server_of_settings
from tests.make import moment
from tests.services.word.letter import LETTER
from tests.services.word.servers import Certificate, MailService, mail_service

AT = moment("Mon 14:05")
TO = "ilka@example.org"


@pytest.fixture
def service(certificate: Certificate) -> Iterator[MailService]:
    with mail_service(certificate) as found:
        yield found


def door(service: MailService, certificate: Certificate, *, password: str = "", **over: Any) -> MailDoor:
    usual = {
        "host": "localhost",
        "port": service.port,
        "tls": "starttls",
        "user": "",
        "sender": "desk@example.org",
        "public_url": "https://desk.example.org",
    }
    return MailDoor(MailServer(**(usual | over)), password, tls=certificate.trusted())


def send(door: MailDoor) -> tuple[str, str]:
    outcome = door.send(replace(LETTER, kind="mail", address=TO), AT)
    return outcome.state, outcome.why


def test_a_message_says_it_all_and_how_to_end_it(service: MailService, certificate: Certificate) -> None:
    assert send(door(service, certificate)) == ("sent", "")
    ((to, message),) = service.received
    assert (to, message["To"], message["From"]) == (TO, TO, "Testfield Open <desk@example.org>")
    assert message["Subject"] == "2 Schläger sind fertig · Testfield Open"
    assert message.get_content().splitlines() == [
        "Schläger 1 (K4T2) und 2 (K4T9): fertig zum Abholen.",
        "",
        "Bespannservice: Halle 2",
        "https://desk.example.org/p/token-1?lang=de",
        "",
        "Nichts mehr mitteilen: https://desk.example.org/word/stop/x?lang=de",
    ]
    # RFC 5322, 3.6: date and a unique id; RFC 3834, 5: made by a machine; RFC 8058, 3.1: ended by one touch.
    assert (message["Date"].datetime, message["Message-ID"]) == (AT, "<letter-1@example.org>")
    assert (message["Auto-Submitted"], message["Content-Language"]) == ("auto-generated", "de")
    assert message["List-Unsubscribe"] == "<https://desk.example.org/word/stop/x?lang=de>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_the_text_goes_over_a_secured_line_only(service: MailService, certificate: Certificate) -> None:
    send(door(service, certificate))
    assert [line.split(" ")[0].upper() for line in service.lines[:4]] == ["EHLO", "STARTTLS", "EHLO", "MAIL"]
    with mail_service() as open_line:
        state, why = send(door(open_line, certificate))
    assert (state, open_line.received) == ("again", [])
    assert why == "the mail server cannot be used (it offers no TLS or no sign-in)"


def test_a_server_that_speaks_tls_from_the_first_octet(certificate: Certificate) -> None:
    with mail_service(certificate, implicit=True) as service:
        assert send(door(service, certificate, tls="tls")) == ("sent", "")


def test_a_server_of_another_name_is_not_trusted(service: MailService, certificate: Certificate) -> None:
    assert send(door(service, certificate, host="127.0.0.1"))[0] == "again"
    assert service.received == []


def test_user_and_password_are_given_and_stand_in_no_reason(service: MailService, certificate: Certificate) -> None:
    service.user, service.password = "desk", "three plain words"
    assert send(door(service, certificate, user="desk", password="three plain words")) == ("sent", "")
    refused = send(door(service, certificate, user="desk", password="another"))
    assert refused == ("failed", "the mail server refused its user or password (answer 535)")
    made = door(service, certificate, user="desk", password="three plain words")
    assert "three plain" not in repr(made.server)


@pytest.mark.parametrize(
    ("word", "answer", "state"),
    [
        ("MAIL", "451 later", "again"),
        ("RCPT", f"450 {TO} is busy", "again"),
        ("RCPT", f"550 no {TO} here", "failed"),
        ("DATA", "452 full", "again"),
        ("END", "451 later", "again"),
        ("END", "554 not that", "failed"),
    ],
)
def test_what_an_answer_means(
    service: MailService, certificate: Certificate, word: str, answer: str, state: str
) -> None:
    """RFC 5321, 4.2.1: 4yz may go later, 5yz never."""
    service.answers[word] = answer
    outcome = send(door(service, certificate))
    assert (outcome[0], TO in outcome[1]) == (state, False)


def test_silence_before_the_text_is_tried_again_and_after_it_is_a_doubt(
    service: MailService, certificate: Certificate, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (deadline, mail):
        monkeypatch.setattr(module, "STEP_SECONDS", 0.4)
    service.answers["RCPT"] = "hang"
    assert send(door(service, certificate))[0] == "again"
    service.answers = {"END": "hang"}
    state, why = send(door(service, certificate))
    assert (state, why) == ("uncertain", "the mail server gave no answer (it broke off); it may have arrived")


def test_a_server_that_drips_is_left(
    service: MailService, certificate: Certificate, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each answer comes within its time, and there is no end of them."""
    monkeypatch.setattr(mail, "within_deadline", lambda sock: deadline.within_deadline(sock, 0.5))
    service.answers["MAIL"] = "\r\n".join(["250-more"] * 3)
    begun = time.monotonic()
    assert send(door(service, certificate))[0] == "again"
    assert time.monotonic() - begun < deadline.STEP_SECONDS


def test_a_server_that_is_not_there_is_tried_again(service: MailService, certificate: Certificate) -> None:
    assert send(door(service, certificate, port=1)) == (
        "again",
        "the mail server cannot be used (nobody answers there)",
    )


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({"DESK_MAIL_TLS": "maybe"}, "DESK_MAIL_TLS is “maybe”"),
        ({"DESK_MAIL_PORT": "smtp"}, "DESK_MAIL_PORT is “smtp”"),
        ({"DESK_MAIL_FROM": ""}, "DESK_MAIL_FROM is no address"),
        ({"DESK_MAIL_TLS": "none", "DESK_MAIL_USER": "desk"}, "does not go over an open line"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_at_once(
    settings: dict[str, str], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = {"DESK_MAIL_HOST": "mail.example.org", "DESK_MAIL_FROM": "desk@example.org"}
    for name, value in (usual | settings).items():
        monkeypatch.setenv(name, value)
    with pytest.raises(BadInput, match=told):
        server_of_settings()


def test_without_a_server_there_is_no_door(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DESK_MAIL_HOST", raising=False)
    assert server_of_settings() is None
