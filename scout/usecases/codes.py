"""A second step at log-in: after the password a code from a phone (RFC 6238), or one of the codes
that were handed out for the day the phone is lost.

Each code works once: of a phone's code its half minute is kept, of a recovery code the row goes.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

import pyotp
from sqlalchemy import delete, func, select, update

from scout.errors import NotFound, Refused
from scout.store import models
from scout.store.queries import people as queries
from scout.usecases import people
from scout.usecases.roles import need
from scout.usecases.work import Who, Work
from scout.values import Name, said

EVERY_S, SLACK = 30, 1  # a code's time; how many before and after count: phones' clocks differ
RECOVERY_CODES, RECOVERY_SIGNS = 10, 12
SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another: 59 bits in twelve
ISSUER = "Sillbook"


@dataclass(frozen=True)
class StepLine:
    """How it stands. `since`: None while nobody has shown a code; `left`: recovery codes."""

    since: datetime | None
    secret: str | None  # to be put into a phone, as long as it is not used
    address: str | None  # the same as an address that phones read
    left: int


def standing(work: Work) -> StepLine | None:
    """The second step of the person at work; None where it was never begun."""
    who = people.asking(work)
    row = work.db.get(models.SecondStep, who.id)
    if row is None:
        return None
    if row.since is not None:
        wanted = select(func.count()).where(models.RecoveryCode.person_id == who.id)
        return StepLine(row.since, None, None, work.db.scalar(wanted) or 0)
    address = pyotp.TOTP(row.secret).provisioning_uri(name=who.email, issuer_name=ISSUER)
    return StepLine(None, row.secret, address, 0)


def begin(work: Work) -> None:
    """Make a secret for a phone; nobody is asked for codes before one of them was right."""
    who = people.asking(work)
    if work.db.get(models.SecondStep, who.id) is None:
        secret = pyotp.random_base32()
        work.db.add(models.SecondStep(person_id=who.id, secret=secret, since=None, last_used=0))
        work.commit()


def confirm(work: Work, code: str) -> tuple[str, ...]:
    """Switch it on by a first code; returns the recovery codes, which nobody can be shown again.
    Raises Refused naming `code`, NotFound where it was not begun.
    """
    who = people.asking(work)
    row = work.db.get(models.SecondStep, who.id)
    if row is None or row.since is not None:
        raise NotFound("second step", who.id)
    if not _is_of_phone(work, row, code):
        raise Refused("code", None, said("code.wrong"))
    row.since = work.now()
    work.log(queries.by_id(work.db, who.id), f"second step of {who.name} switched on")
    return _codes_anew(work, who)


def anew(work: Work, password: str) -> tuple[str, ...]:
    """New recovery codes, and the old ones are worth nothing. Raises Refused naming `old`."""
    row = people.prove(work, password)
    if not is_on(work, row.id):
        raise NotFound("second step", row.id)
    return _codes_anew(work, people.asking(work))


def _codes_anew(work: Work, who: Who) -> tuple[str, ...]:
    kind = models.RecoveryCode
    work.db.execute(delete(kind).where(kind.person_id == who.id))
    codes = []
    for _ in range(RECOVERY_CODES):
        signs = "".join(secrets.choice(SIGNS) for _ in range(RECOVERY_SIGNS))
        work.db.add(kind(person_id=who.id, code_sha256=people.mark_of(signs)))
        codes.append("-".join(signs[k : k + 4] for k in range(0, RECOVERY_SIGNS, 4)))
    work.commit()
    return tuple(codes)


def is_on(work: Work, person_id: int) -> bool:
    """Whether somebody is asked for a code after the password."""
    row = work.db.get(models.SecondStep, person_id)
    return row is not None and row.since is not None


def passes(work: Work, person_id: int, code: str) -> Who | None:
    """The person, if a code is theirs and was not used; it is used now."""
    row, person = work.db.get(models.SecondStep, person_id), queries.by_id(work.db, person_id)
    if row is None or row.since is None or person is None:
        return None
    if not (_is_of_phone(work, row, code) or _is_recovery(work, person_id, code)):
        return None
    work.commit()
    return people.who_of(person)


def _is_of_phone(work: Work, row: models.SecondStep, code: str) -> bool:
    """Whether a phone shows this code now; marked as used where it does, once of two at a time."""
    typed = "".join(code.split())
    phone, now = pyotp.TOTP(row.secret), int(work.now().timestamp()) // EVERY_S
    found = [
        step
        for step in range(now - SLACK, now + SLACK + 1)
        if typed.isascii() and secrets.compare_digest(phone.at(step * EVERY_S), typed)
    ]
    kind = models.SecondStep
    return any(
        work.db.execute(
            update(kind)
            .where(kind.person_id == row.person_id, kind.last_used < step)
            .values(last_used=step)
            .returning(kind.person_id)
        ).all()
        for step in found
    )


def _is_recovery(work: Work, person_id: int, code: str) -> bool:
    signs = "".join(one for one in code.lower() if one in SIGNS)
    kind = models.RecoveryCode
    used = delete(kind).where(
        kind.person_id == person_id, kind.code_sha256 == people.mark_of(signs)
    )
    return bool(work.db.execute(used.returning(kind.id)).all())


def switch_off(work: Work, password: str) -> None:
    """Ask the person at work for no code any more. Raises Refused naming `old`."""
    _end(work, people.prove(work, password))


def end(work: Work, email: str) -> None:
    """Ask somebody for no code any more, whose phone is lost; their sessions and passkeys end. Raises
    NotFound, Refused where they have neither.
    """
    need(work, "change", "person")
    row = people.called(work, email)
    keys = delete(models.Passkey).where(models.Passkey.person_id == row.id)
    gone = work.db.execute(keys.returning(models.Passkey.id)).all()
    if not gone and work.db.get(models.SecondStep, row.id) is None:
        raise Refused("email", email, said("code.none", name=Name(row.name)))
    work.db.execute(delete(models.Login).where(models.Login.person_id == row.id))
    _end(work, row)


def _end(work: Work, row: models.Person) -> None:
    for kind in (models.SecondStep, models.RecoveryCode):
        work.db.execute(delete(kind).where(kind.person_id == row.id))
    work.log(row, f"second step of {row.name} switched off")
    work.commit()
