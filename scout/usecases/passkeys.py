"""Passkeys: a key pair on somebody's device, whose public half is kept here (W3C Web Authentication,
level 2, by py_webauthn). It answers to the host that it was made for alone, and its device asks for a
finger, a face or a PIN: so it stands for password and code.

A question (challenge) is answered once: the time it was asked at is later than the last answer's.
"""

from __future__ import annotations

import json
import secrets
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import func, or_, select, update

from scout.errors import NotFound, Refused
from scout.records import TokenRecord
from scout.store import models
from scout.store.queries import people as queries
from scout.store.queries.common import by_key
from scout.usecases import people
from scout.usecases.work import Who, Work
from scout.values import said

LASTS = timedelta(minutes=5)
MOST = 20  # of one person
ISSUER = "Sillbook"


@dataclass(frozen=True)
class Site:
    """What a key is made for, and answers to: a host, and how its pages are reached."""

    host: str
    origin: str


@dataclass(frozen=True)
class Question:
    """What is asked of a device. It is no secret: whoever asks keeps it signed until the answer comes."""

    challenge: str
    asked_at: float

    @classmethod
    def new(cls, now: datetime) -> Question:
        """One that nobody was asked before."""
        return cls(_text(secrets.token_bytes(32)), now.timestamp())

    def stands(self, now: datetime) -> bool:
        """Whether it may still be answered."""
        return timedelta() <= now - self.at <= LASTS

    @property
    def at(self) -> datetime:
        """When it was asked."""
        return datetime.fromtimestamp(self.asked_at, UTC)


@dataclass(frozen=True)
class PasskeyLine:
    """A passkey as its person sees it."""

    id: int
    name: str
    made_at: datetime
    used_at: datetime | None


def passkeys(work: Work) -> tuple[PasskeyLine, ...]:
    """Those of the person at work, the newest first."""
    return tuple(
        PasskeyLine(row.id, row.name, row.made_at, row.used_at)
        for row in _rows(work, people.asking(work).id)
    )


def ask_to_add(work: Work, password: str, site: Site) -> tuple[Question, str]:
    """A question to a new key of the person at work, and what their browser needs for it, as JSON.
    Raises Refused naming `old` where the password is wrong, or they have too many.
    """
    from webauthn import generate_registration_options, options_to_json
    from webauthn.helpers import structs

    row, rows = people.prove(work, password), _rows(work, people.asking(work).id)
    if len(rows) >= MOST:
        raise Refused("old", None, said("passkey.too_many", most=MOST))
    question = Question.new(work.now())
    options = generate_registration_options(
        rp_id=site.host,
        rp_name=ISSUER,
        user_name=row.email,
        user_display_name=row.name,
        user_id=people.mark_of(f"passkeys of {row.id} {row.created_at}").encode(),
        challenge=_bytes(question.challenge),
        authenticator_selection=structs.AuthenticatorSelectionCriteria(
            resident_key=structs.ResidentKeyRequirement.REQUIRED,
            user_verification=structs.UserVerificationRequirement.REQUIRED,
        ),
        exclude_credentials=[
            structs.PublicKeyCredentialDescriptor(id=_bytes(one.credential)) for one in rows
        ],
    )
    return question, options_to_json(options)


def add(work: Work, question: Question, site: Site, answer: str, record: TokenRecord) -> None:
    """Keep the key that answered. Raises Refused naming `credential`."""
    from webauthn import verify_registration_response
    from webauthn.helpers.exceptions import WebAuthnException

    who = people.asking(work)
    try:
        if not question.stands(work.now()):
            raise _wrong()
        found = verify_registration_response(
            credential=answer,
            expected_challenge=_bytes(question.challenge),
            expected_rp_id=site.host,
            expected_origin=site.origin,
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError, TypeError, KeyError):
        raise _wrong() from None
    credential = _text(found.credential_id)
    kind, mark = models.Passkey, people.mark_of(credential)
    if work.db.scalar(select(func.count()).where(kind.credential_sha256 == mark)):
        raise _wrong()
    row = kind(
        person_id=who.id,
        name=record.name,
        credential=credential,
        credential_sha256=mark,
        public_key=_text(found.credential_public_key),
        count=found.sign_count,
        made_at=work.now(),
        used_at=None,
    )
    work.db.add(row)
    work.log(queries.by_id(work.db, who.id), f"passkey of {who.name} added")
    work.commit()


def remove(work: Work, key: int) -> None:
    """Let one of the person's keys open nothing any more. Raises NotFound."""
    row, who = by_key(work.db, models.Passkey, key), people.asking(work)
    if row is None or row.person_id != who.id:
        raise NotFound("passkey", key)
    work.db.delete(row)
    work.log(queries.by_id(work.db, who.id), f"passkey of {who.name} removed")
    work.commit()


def ask(work: Work, site: Site) -> tuple[Question, str]:
    """A question to whichever key somebody has, and what their browser needs for it, as JSON."""
    from webauthn import generate_authentication_options, options_to_json
    from webauthn.helpers import structs

    question = Question.new(work.now())
    options = generate_authentication_options(
        rp_id=site.host,
        challenge=_bytes(question.challenge),
        user_verification=structs.UserVerificationRequirement.REQUIRED,
    )
    return question, options_to_json(options)


def who_answers(work: Work, question: Question, site: Site, answer: str) -> Who | None:
    """The person whose key answered, once; None where none of ours did, or not as it must."""
    from webauthn import verify_authentication_response
    from webauthn.helpers.exceptions import WebAuthnException

    kind = models.Passkey
    try:
        plain: Any = json.loads(answer)
        mark = people.mark_of(_text(_bytes(str(plain["id"]))))
        row = work.db.scalar(select(kind).where(kind.credential_sha256 == mark))
        if row is None or not question.stands(work.now()):
            return None
        found = verify_authentication_response(
            credential=plain,
            expected_challenge=_bytes(question.challenge),
            expected_rp_id=site.host,
            expected_origin=site.origin,
            credential_public_key=_bytes(row.public_key),
            credential_current_sign_count=row.count,
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError, TypeError, KeyError, RecursionError):
        return None
    used = work.db.execute(
        update(kind)
        .where(kind.id == row.id, or_(kind.used_at.is_(None), kind.used_at < question.at))
        .values(used_at=question.at, count=found.new_sign_count)
        .returning(kind.id)
    ).all()
    person = queries.by_id(work.db, row.person_id)
    if not used or person is None:
        return None
    work.commit()
    return people.who_of(person)


def _rows(work: Work, person_id: int) -> list[models.Passkey]:
    kind = models.Passkey
    return list(
        work.db.scalars(select(kind).where(kind.person_id == person_id).order_by(kind.id.desc()))
    )


def _wrong() -> Refused:
    return Refused("credential", None, said("passkey.wrong"))


def _text(body: bytes) -> str:
    return urlsafe_b64encode(body).decode().rstrip("=")


def _bytes(text: str) -> bytes:
    return urlsafe_b64decode(text + "=" * (-len(text) % 4))
