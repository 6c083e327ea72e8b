"""Passkeys: a device of our own making answers, as a browser would hand it over.

What is signed, and in which form: W3C Web Authentication, level 2, sections 5.8.1, 6.1 and 6.5.1, from
memory; what must be refused stands in its section 7.2.
"""

from __future__ import annotations

import hashlib
import json
import struct
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta

import cbor2
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256

from scout.errors import NotFound, Refused
from scout.records import Person, TokenRecord
from scout.settings import Settings
from scout.usecases import codes, passkeys, people, personal
from scout.usecases.passkeys import Question, Site
from scout.usecases.work import Who, Work, open_work
from tests.web.conftest import quick_hashes

__all__ = ["quick_hashes"]

PASSWORD = "correct horse battery"  # invented
HERE = Site("mill.example.org", "https://mill.example.org")
PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


def text(body: bytes) -> str:
    return urlsafe_b64encode(body).decode().rstrip("=")


@dataclass
class Device:
    """A key, and what it answers."""

    site: Site = HERE
    credential: bytes = b"credential 16 b."
    flags: int = PRESENT | VERIFIED
    count: int = 0
    key: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )

    def client(self, kind: str, question: Question) -> bytes:
        told = {"type": kind, "challenge": question.challenge, "origin": self.site.origin}
        return json.dumps(told).encode()

    def data(self, flags: int) -> bytes:
        self.count += 1
        return hashlib.sha256(self.site.host.encode()).digest() + struct.pack(
            ">BI", flags, self.count
        )

    def made(self, question: Question) -> str:
        point = self.key.public_key().public_numbers()
        public = {1: 2, 3: -7, -1: 1, -2: point.x.to_bytes(32), -3: point.y.to_bytes(32)}
        data = self.data(self.flags | ATTESTED) + bytes(16) + struct.pack(">H", 16)
        data += self.credential + cbor2.dumps(public)
        whole = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": data})
        return self.handed(
            clientDataJSON=self.client("webauthn.create", question), attestationObject=whole
        )

    def answered(self, question: Question) -> str:
        client, data = self.client("webauthn.get", question), self.data(self.flags)
        signed = self.key.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(SHA256()))
        return self.handed(clientDataJSON=client, authenticatorData=data, signature=signed)

    def handed(self, **response: bytes) -> str:
        name = text(self.credential)
        parts = {key: text(value) for key, value in response.items()}
        return json.dumps({"id": name, "rawId": name, "type": "public-key", "response": parts})


@pytest.fixture
def ada(settings: Settings) -> Iterator[Work]:
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
    with open_work(settings, Who(1, "Ada", "ada@example.org", "owner")) as work:
        yield work


def kept(work: Work, device: Device | None = None) -> Device:
    device = device or Device()
    question, options = passkeys.ask_to_add(work, PASSWORD, HERE)
    asked = json.loads(options)
    assert asked["rp"]["id"] == "mill.example.org"
    assert asked["challenge"] == question.challenge
    passkeys.add(work, question, HERE, device.made(question), TokenRecord(name="Phone"))
    return device


def comes_in(work: Work, device: Device, site: Site = HERE) -> bool:
    question, _ = passkeys.ask(work, site)
    return passkeys.who_answers(work, question, site, device.answered(question)) is not None


def test_a_key_lets_its_person_in_and_nobody_else(ada: Work) -> None:
    device = kept(ada)
    question, _ = passkeys.ask(ada, HERE)
    who = passkeys.who_answers(ada, question, HERE, device.answered(question))
    assert who is not None
    assert (who.id, who.name) == (1, "Ada")
    assert passkeys.passkeys(ada)[0].used_at == question.at
    assert not comes_in(ada, Device())  # another key that gives itself out for it
    assert not comes_in(ada, Device(credential=b"another 16 bytes"))
    assert personal.all_of(ada, personal.Named(name="Ada", email="ada@example.org"))["passkeys"]


def test_an_answer_lets_in_once_and_soon(ada: Work) -> None:
    device = kept(ada)
    question, _ = passkeys.ask(ada, HERE)
    answer = device.answered(question)
    assert passkeys.who_answers(ada, question, HERE, answer) is not None
    assert passkeys.who_answers(ada, question, HERE, answer) is None
    device.count = 0  # a copy of the key counts from where it was copied
    assert not comes_in(ada, device)
    device.count = 10
    late, _ = passkeys.ask(ada, HERE)
    now = ada.now
    ada.now = lambda: now() + timedelta(minutes=6)
    assert passkeys.who_answers(ada, late, HERE, device.answered(late)) is None


def test_it_answers_to_its_host_and_to_a_person_alone(ada: Work) -> None:
    device = kept(ada)
    away = Site("barn.example.org", "https://barn.example.org")
    assert not comes_in(ada, replace(device, site=away))
    assert not comes_in(ada, device, away)
    assert not comes_in(ada, replace(device, site=replace(HERE, origin="http://mill.example.org")))
    assert not comes_in(ada, replace(device, flags=PRESENT, count=5))  # no finger, face or PIN
    assert comes_in(ada, replace(device, count=9))
    question, _ = passkeys.ask(ada, HERE)
    for broken in ("", "{}", "[]", "null", '{"id": 1}', "[" * 100_000, device.made(question)):
        assert passkeys.who_answers(ada, question, HERE, broken) is None


def test_a_key_is_made_by_whoever_knows_the_password_and_once(ada: Work) -> None:
    with pytest.raises(Refused) as refused:
        passkeys.ask_to_add(ada, "wrong", HERE)
    assert refused.value.path == "old"
    device = kept(ada)
    question, options = passkeys.ask_to_add(ada, PASSWORD, HERE)
    assert [one["id"] for one in json.loads(options)["excludeCredentials"]] == [
        text(device.credential)
    ]
    other = Question.new(ada.now())
    faulty = [device.made(question), Device().made(other), "", "{}"]
    faulty.append(Device(credential=b"without a finger", flags=PRESENT).made(question))
    for answer in faulty:
        with pytest.raises(Refused):
            passkeys.add(ada, question, HERE, answer, TokenRecord(name="again"))
    assert len(passkeys.passkeys(ada)) == 1


def test_it_ends_by_hand_with_a_new_password_and_with_a_lost_phone(ada: Work) -> None:
    device = kept(ada)
    ada.who = Who(2, "Bo", "bo@example.org", "owner")
    with pytest.raises(NotFound):
        passkeys.remove(ada, 1)
    ada.who = Who(1, "Ada", "ada@example.org", "owner")
    passkeys.remove(ada, 1)
    assert not comes_in(ada, device)
    kept(ada, device)
    codes.end(ada, "ada@example.org")
    assert passkeys.passkeys(ada) == ()
    with pytest.raises(Refused):
        codes.end(ada, "ada@example.org")
    kept(ada, device)
    row = people.called(ada, "ada@example.org")
    people.put_password(ada, row, "another horse battery")
    ada.commit()
    assert not comes_in(ada, device)
