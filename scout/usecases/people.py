"""Who may log in: the first person, further ones, passwords."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from sqlalchemy import delete, select
from zxcvbn import zxcvbn

from scout.errors import NotAllowed, NotFound, Refused, RefusedMany
from scout.records import Person
from scout.records.people import Role
from scout.store import models
from scout.store.queries import people as queries
from scout.store.queries.common import by_key
from scout.usecases.roles import ROLES, need
from scout.usecases.work import Who, Work
from scout.values import Name, Said, said, words

PASSWORD_MOST = 1000
PASSWORD_LEAST = 10
STRONG_ENOUGH = 3  # of 4, as the estimator counts: safely unguessable online
SESSION_LASTS = timedelta(days=14)
TRIES_REST = timedelta(minutes=10)
TRIES_AN_ACCOUNT, TRIES_AN_ADDRESS, TRIES_A_DEVICE = 10, 20, 10
_hasher = PasswordHasher()
# Verified when the address is unknown, so that an unknown address takes as long to refuse as a
# wrong password.
_NOBODY = _hasher.hash("nobody has this password")


@dataclass(frozen=True)
class PersonLine:
    """Somebody who may log in."""

    id: int
    email: str
    name: str
    role: str
    asked_for_code: bool


@dataclass(frozen=True)
class SessionLine:
    """A place where somebody is logged in."""

    id: int
    begun_at: datetime
    agent: str | None
    is_this: bool


def any_person(work: Work) -> bool:
    """Whether anybody may log in yet."""
    return queries.count(work.db) > 0


def add_person(
    work: Work,
    person: Person,
    password: str,
    *,
    role: Role = "guest",
    only_first: bool = False,
) -> int:
    """Let somebody log in; returns the key. Raises RefusedMany for a password too short or an
    address already there.

    role: what they may do; the first person is the owner, whatever is said.

    only_first: refuse with NotAllowed when somebody is there already, judged in the same
        transaction that adds.
    """
    need(work, "add", "person")
    queries.hold(work.db)
    anybody = any_person(work)
    if only_first and anybody:
        raise NotAllowed(said("kept.somebody_already"))
    refusals = taken(work, person)
    if (why := weak(password, person.email, person.name)) is not None:
        refusals.insert(0, Refused("password", None, why))
    if refusals:
        raise RefusedMany(refusals)
    row = put_person(work, person, password, role if anybody else "owner")
    work.commit()
    return row.id


def taken(work: Work, person: Person) -> list[Refused]:
    """What of a new person somebody has already. A private note is its author's by name: of two
    with one name each would read the other's.
    """
    refusals = []
    if queries.by_email(work.db, person.email):
        refusals.append(Refused("email", person.email, said("kept.email_taken")))
    if queries.name_is_taken(work.db, person.name):
        refusals.append(Refused("name", person.name, said("kept.name_taken")))
    return refusals


def put_person(work: Work, person: Person, password: str, role: str) -> models.Person:
    """The row of a new person; nothing is committed."""
    row = models.Person(
        email=person.email.strip().lower(),
        name=person.name,
        password_hash=hashed(password),
        created_at=work.now(),
        role=role,
    )
    work.add(row, f"{person.name} may log in")
    return row


def who_of(row: models.Person) -> Who:
    """The person of a row, at work. A role that this program does not know may do nothing."""
    return Who(
        row.id, row.name, row.email, next((one for one in ROLES if one == row.role), "guest")
    )


def hashed(secret: str) -> str:
    """What is kept of a password, or of a passphrase."""
    return _hasher.hash(secret)


def verified(kept: str, secret: str) -> bool:
    """Whether a secret is the one of which a hash is kept."""
    try:
        return bool(_hasher.verify(kept, secret))
    except (Argon2Error, InvalidHashError):
        return False


def log_in(work: Work, email: str, password: str) -> Who | None:
    """The person, if address and password belong together; renews the hash when its settings have
    moved on.
    """
    row = queries.by_email(work.db, email)
    if not verified(row.password_hash if row else _NOBODY, password) or row is None:
        return None
    if _hasher.check_needs_rehash(row.password_hash):
        row.password_hash = _hasher.hash(password)
        work.commit()
    return who_of(row)


def begin_session(work: Work, key: int, agent: str | None = None) -> str:
    """Begin a session; returns the token that its cookie keeps, which is kept nowhere else."""
    token = secrets.token_urlsafe(32)
    work.db.execute(delete(models.Login).where(models.Login.begun_at < work.now() - SESSION_LASTS))
    work.db.add(
        models.Login(
            person_id=key,
            token_sha256=mark_of(token),
            begun_at=work.now(),
            agent=(agent or "")[:200] or None,
        )
    )
    work.commit()
    return token


def person_of_session(work: Work, token: str) -> Who | None:
    """The person whose session a token names, as long as it lasts."""
    found = queries.of_login(work.db, mark_of(token))
    if found is None or found[0] < work.now() - SESSION_LASTS:
        return None
    return who_of(found[1])


def sessions(work: Work, token: str) -> tuple[SessionLine, ...]:
    """Where the person at work is logged in; `token` is the session that asks."""
    mark = mark_of(token)
    return tuple(
        SessionLine(row.id, row.begun_at, row.agent, row.token_sha256 == mark)
        for row in queries.logins(work.db, asking(work).id)
    )


def end_session(work: Work, token: str) -> None:
    """Log out: the session's token is worth nothing from here on."""
    work.db.execute(delete(models.Login).where(models.Login.token_sha256 == mark_of(token)))
    work.commit()


def end_one(work: Work, key: int) -> None:
    """End one of the sessions of the person at work. Raises NotFound."""
    row = by_key(work.db, models.Login, key)
    if row is None or row.person_id != asking(work).id:
        raise NotFound("session", key)
    work.db.delete(row)
    work.commit()


def everybody(work: Work) -> tuple[PersonLine, ...]:
    """All who may log in, by their addresses."""
    need(work, "read", "person")
    asked = set(
        work.db.scalars(
            select(models.SecondStep.person_id).where(models.SecondStep.since.is_not(None))
        )
    )
    return tuple(
        PersonLine(row.id, row.email, row.name, who_of(row).role, row.id in asked)
        for row in queries.everybody(work.db)
    )


def set_role(work: Work, email: str, role: str) -> None:
    """Say what somebody may do. Raises NotFound, or Refused for a role that there is not and where
    it is the last owner's.
    """
    need(work, "change", "person")
    queries.hold(work.db)
    row = called(work, email)
    if role not in ROLES:
        raise Refused(
            "role", role, said("refused.not_one_of", words=words("person_role", ROLES, "or"))
        )
    if role != "owner":
        keep_an_owner(work, row)
    row.role = role
    work.log(row, f"{row.name} is {role}")
    work.commit()


def remove_person(work: Work, email: str) -> None:
    """Let somebody log in no more, and end their sessions and tokens; what they recorded keeps their name.
    Raises NotFound, or Refused for the last owner.
    """
    need(work, "delete", "person")
    queries.hold(work.db)
    row = called(work, email)
    keep_an_owner(work, row)
    for held in (models.Login, models.Token):
        work.db.execute(delete(held).where(held.person_id == row.id))
    work.log(row, f"{row.name} may not log in any more")
    work.db.delete(row)
    work.commit()


def called(work: Work, email: str) -> models.Person:
    """The person with an address. Raises NotFound."""
    row = queries.by_email(work.db, email)
    if row is None:
        raise NotFound("person", email)
    return row


def keep_an_owner(work: Work, row: models.Person) -> None:
    """Somebody must be left who may say who may do what. Raises Refused."""
    others = (one for one in queries.everybody(work.db) if one.id != row.id)
    if row.role == "owner" and not any(one.role == "owner" for one in others):
        raise Refused("role", None, said("kept.last_owner", name=Name(row.name)))


def may_try(work: Work, account: str, address: str, device: str | None) -> int | None:
    """Take one of the tries there are; None when none is left, else what `was_right` gives back.

    A browser that has logged in here before has tries of its own, so that nobody's guessing keeps
    the right person out; all others share those of the account and of the address they come from.
    The try is taken before the password is looked at: forty at once are still ten.
    """
    queries.hold_tries(work.db)
    now = work.now()
    work.db.execute(delete(models.WrongTry).where(models.WrongTry.at < now - TRIES_REST))
    kinds = (
        [("device", device, TRIES_A_DEVICE)]
        if device
        else [("account", account, TRIES_AN_ACCOUNT), ("address", address, TRIES_AN_ADDRESS)]
    )
    marks = [(mark_of(f"{kind} {value}"), most) for kind, value, most in kinds]
    if any(queries.tries(work.db, mark, now - TRIES_REST) >= most for mark, most in marks):
        work.commit()
        return None
    rows = [models.WrongTry(at=now, of=mark) for mark, _ in marks]
    work.db.add_all(rows)
    work.db.flush()
    taken = rows[0].id
    work.commit()
    return taken


def was_right(work: Work, taken: int, account: str, address: str, device: str | None) -> None:
    """Give a try back: the password was right."""
    of = [("device", device)] if device else [("account", account), ("address", address)]
    for offset, (kind, value) in enumerate(of):
        row = work.db.get(models.WrongTry, taken + offset)
        if row is not None and row.of == mark_of(f"{kind} {value}"):
            work.db.delete(row)


def asking(work: Work) -> Who:
    """The person at work. Raises NotAllowed where nobody is logged in."""
    if work.who is None:
        raise NotAllowed(said("kept.log_in_first"))
    return work.who


def mark_of(text: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def weak(password: str, *of: str) -> Said | None:
    """What is wrong with a password as such; None when it will do."""
    if not PASSWORD_LEAST <= len(password) <= PASSWORD_MOST:
        return said("kept.password_length", least=PASSWORD_LEAST, most=PASSWORD_MOST)
    if zxcvbn(password[:72], user_inputs=[*of, "sillbook"])["score"] < STRONG_ENOUGH:
        return said("kept.password_weak")
    return None


def change_password(work: Work, old: str, new: str) -> None:
    """A new password for the person at work, which ends every session.
    Raises Refused naming `old` or `new`.
    """
    row = prove(work, old)
    if (why := weak(new, row.email, row.name)) is not None:
        raise Refused("new", None, why)
    put_password(work, row, new)
    work.commit()


def prove(work: Work, old: str) -> models.Person:
    """The row of the person at work, who knows the present password. Raises Refused naming `old`."""
    row = queries.by_id(work.db, work.who.id) if work.who else None
    if row is None:
        raise NotAllowed(said("kept.log_in_first"))
    if not verified(row.password_hash, old):
        raise Refused("old", None, said("kept.wrong_password"))
    return row


def put_password(work: Work, row: models.Person, password: str) -> None:
    """A new password, which ends every session, every link to reset it and every passkey: whoever knew
    the old one may have made some. Nothing is committed.
    """
    row.password_hash = hashed(password)
    for held in (models.Login, models.Invitation, models.Passkey):
        work.db.execute(delete(held).where(held.person_id == row.id))
    work.log(row, f"password of {row.name} changed")
