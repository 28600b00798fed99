"""A push message as a push service and a phone see it, and what each answer of the service means."""

import json
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric import ec
from py_vapid import Vapid02

from desk.queries.word.letters import Letter
from desk.services.word import deadline, web_push
from desk.services.word.vapid_key import kept_vapid, public_part
from desk.services.word.web_push import PushDoor
from tests.services.word.letter import LETTER
from tests.services.word.phone import CURVE, Phone, unpacked, vapid_claims
from tests.services.word.servers import HOST, Certificate, PushService, push_service


@pytest.fixture
def service(certificate: Certificate) -> Iterator[PushService]:
    with push_service(certificate) as found:
        yield found


def door(certificate: Certificate, **over: object) -> PushDoor:
    """A door that leads to this machine: what production refuses is allowed here by name."""
    usual = {
        "resolve": lambda _host, _port: ["127.0.0.1"],
        "may_go_to": lambda ip: ip == "127.0.0.1",
        "fault": lambda _address: "",
        "tls": certificate.trusted(),
    }
    key = Vapid02(ec.generate_private_key(CURVE))
    return PushDoor(key, "mailto:desk@example.org", **(usual | over))


def letter_to(phone: Phone, address: str) -> Letter:
    return replace(LETTER, address=address, public_key=phone.keys["p256dh"], auth_secret=phone.keys["auth"])


def test_the_phone_of_these_tests_reads_the_published_message() -> None:
    """RFC 8291, section 5 and appendix A."""
    private = int.from_bytes(unpacked("q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"), "big")
    phone = Phone(ec.derive_private_key(private, CURVE), unpacked("BTBZMqHH6r4Tts7J_aSIgg"))
    assert phone.keys["p256dh"] == (
        "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
    )
    body = unpacked(
        "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl"
        "7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
    )
    assert phone.read(body) == b"When I grow up, I want to be a watermelon"


def test_the_check_of_signatures_knows_the_published_one() -> None:
    """RFC 8292, section 2.4."""
    header = (
        "vapid t=eyJ0eXAiOiJKV1QiLCJhbGciOiJFUzI1NiJ9.eyJhdWQiOiJodHRwczovL3B1c2guZXhhbXBsZS5uZXQiLCJleHAiOjE0NTM1Mj"
        "M3NjgsInN1YiI6Im1haWx0bzpwdXNoQGV4YW1wbGUuY29tIn0.i3CYb7t4xfxCDquptFOepC9GAu_HLGkMlMuCGSK2rpiUfnK9ojFwDXb1JrEr"
        "tmysazNjjvW2L9OkSSHzvoD1oA, k=BA1Hxzyi1RUM1b5wjxsn7nGxAszw2u61m164i3MrAIxHF6YK5h4SDYic-dRuU_RCPCfA5aq9ojSwk5Y2"
        "EmClBPs"
    )
    _, claims, _ = vapid_claims(header)
    assert claims == {"aud": "https://push.example.net", "exp": 1453523768, "sub": "mailto:push@example.com"}


def test_only_the_phone_reads_what_it_is_told(certificate: Certificate, service: PushService) -> None:
    phone = Phone.new()
    assert door(certificate).send(letter_to(phone, service.address)).state == "sent"
    ((path, headers, body),) = service.received
    assert json.loads(phone.read(body)) == {
        "title": "2 Schläger sind fertig",
        "body": "Schläger 1 (K4T2) und 2 (K4T9): fertig zum Abholen.\nBespannservice: Halle 2",
        "lang": "de",
        "url": "/p/token-1?lang=de",
        "tag": "letter-1",
    }
    # RFC 8030, 5: TTL must be there; RFC 8188: the encoding; RFC 8030, 5.3: it may wake the phone.
    wanted = {"content-encoding": "aes128gcm", "ttl": "14400", "urgency": "high", "host": f"{HOST}:{service.port}"}
    assert (path, {name: headers[name] for name in wanted}) == ("/push/phone-1", wanted)
    assert b"Schl" not in body
    with pytest.raises(InvalidTag):
        Phone(ec.generate_private_key(CURVE), phone.secret).read(body)


def test_the_desk_signs_for_this_service_and_for_less_than_a_day(
    certificate: Certificate, service: PushService
) -> None:
    made = door(certificate)
    made.send(letter_to(Phone.new(), service.address))
    head, claims, key = vapid_claims(service.received[0][1]["authorization"])
    # RFC 8292, 2: ES256; aud is the origin of the service; exp at most 24 hours ahead; sub says who sends.
    assert (head["alg"], claims["aud"], claims["sub"]) == (
        "ES256", f"https://{HOST}:{service.port}", "mailto:desk@example.org",
    )  # fmt: skip
    assert 0 < claims["exp"] - time.time() <= 24 * 3600
    assert key == public_part(made.key)


@pytest.mark.parametrize(
    ("status", "state"),
    [
        *((201, "sent"), (200, "sent"), (404, "gone"), (410, "gone"), (429, "again"), (503, "again"), (500, "again")),
        *((400, "failed"), (401, "failed"), (403, "failed"), (413, "failed"), (301, "failed"), (307, "failed")),
    ],
)
def test_what_an_answer_means(certificate: Certificate, service: PushService, status: int, state: str) -> None:
    service.status = status
    service.headers = {"Location": "https://127.0.0.1/inside"} if status in (301, 307) else {}
    outcome = door(certificate).send(letter_to(Phone.new(), service.address))
    assert (outcome.state, len(service.received)) == (state, 1)


def test_a_service_that_asks_to_wait_is_heard(certificate: Certificate, service: PushService) -> None:
    """RFC 8030, 8.4: 429 with Retry-After."""
    service.status, service.headers = 429, {"Retry-After": "120"}
    assert door(certificate).send(letter_to(Phone.new(), service.address)).after == timedelta(seconds=120)


def test_no_answer_is_a_doubt_and_no_connection_is_none(
    certificate: Certificate, service: PushService, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (deadline, web_push):
        monkeypatch.setattr(module, "STEP_SECONDS", 0.3)
    service.before_answer = lambda: threading.Event().wait(1)
    outcome = door(certificate).send(letter_to(Phone.new(), service.address))
    assert (outcome.state, outcome.why) == (
        "uncertain", "the push service gave no answer (no answer in time); it may have arrived",
    )  # fmt: skip
    free = f"https://{HOST}:1/push"
    assert door(certificate).send(letter_to(Phone.new(), free)).state == "again"


def test_a_service_with_another_name_on_its_certificate_gets_nothing(
    certificate: Certificate, service: PushService
) -> None:
    elsewhere = service.address.replace(HOST, "other.example.org")
    outcome = door(certificate).send(letter_to(Phone.new(), elsewhere))
    assert (outcome.state, service.received) == ("again", [])


@pytest.mark.parametrize("ip", ["127.0.0.1", "10.1.2.3", "169.254.169.254", "::1", "fd00::1", "::ffff:10.0.0.1"])
def test_a_name_that_leads_inside_is_not_followed(certificate: Certificate, service: PushService, ip: str) -> None:
    made = door(certificate, resolve=lambda _host, _port: ["203.0.114.1", ip], may_go_to=web_push.is_public)
    outcome = made.send(letter_to(Phone.new(), service.address))
    assert (outcome.why, service.received) == (
        "the push service cannot be reached (its address is not public)", [],
    )  # fmt: skip


def test_a_long_message_stays_within_one_record(certificate: Certificate, service: PushService) -> None:
    phone = Phone.new()
    long = replace(
        letter_to(phone, service.address), lines=tuple(f"Schläger {number} ist fertig" for number in range(900))
    )
    assert door(certificate).send(long).state == "sent"
    body = service.received[0][2]
    # RFC 8291, 4: a push service takes 4096 octets.
    assert len(body) <= 4096
    assert json.loads(phone.read(body))["body"].endswith("…")


def test_the_desks_key_is_made_once(any_database) -> None:
    assert public_part(kept_vapid(any_database)) == public_part(kept_vapid(any_database))


def test_reasons_hold_no_address(certificate: Certificate, service: PushService) -> None:
    service.status = 403
    assert "phone-1" not in door(certificate).send(letter_to(Phone.new(), service.address)).why
