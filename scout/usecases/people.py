"""Who may log in: the first person, further ones, passwords."""

from __future__ import annotations

import hashlib
import hmac

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from scout.errors import NotAllowed, Refused, RefusedMany
from scout.records import Person
from scout.store import models
from scout.store.queries import people as queries
from scout.usecases.work import Who, Work
from scout.values import said

PASSWORD_MOST = 1000
PASSWORD_LEAST = 10
_hasher = PasswordHasher()
# Verified when the address is unknown, so that an unknown address takes as long to refuse as a
# wrong password.
_NOBODY = _hasher.hash("nobody has this password")


def any_person(work: Work) -> bool:
    """Whether anybody may log in yet."""
    return queries.count(work.db) > 0


def add_person(work: Work, person: Person, password: str, *, only_first: bool = False) -> int:
    """Let somebody log in; returns the key. Raises RefusedMany for a password too short or an
    address already there.

    only_first: refuse with NotAllowed when somebody is there already, judged in the same
        transaction that adds.
    """
    queries.hold(work.db)
    if only_first and any_person(work):
        raise NotAllowed(said("kept.somebody_already"))
    refusals = []
    if len(password) < PASSWORD_LEAST:
        refusals.append(Refused("password", None, said("record.too_short", bound=PASSWORD_LEAST)))
    if len(password) > PASSWORD_MOST:
        refusals.append(Refused("password", None, said("record.too_long", bound=PASSWORD_MOST)))
    email = person.email.strip().lower()
    if queries.by_email(work.db, email):
        refusals.append(Refused("email", person.email, said("kept.email_taken")))
    if refusals:
        raise RefusedMany(refusals)
    row = models.Person(
        email=email, name=person.name, password_hash=_hasher.hash(password), created_at=work.now()
    )
    work.add(row, f"{person.name} may log in")
    work.commit()
    return row.id


def log_in(work: Work, email: str, password: str) -> Who | None:
    """The person, if address and password belong together; renews the hash when its settings have
    moved on.
    """
    row = queries.by_email(work.db, email)
    try:
        _hasher.verify(row.password_hash if row else _NOBODY, password)
    except (Argon2Error, InvalidHashError):
        return None
    if row is None:
        return None
    if _hasher.check_needs_rehash(row.password_hash):
        row.password_hash = _hasher.hash(password)
        work.commit()
    return Who(row.id, row.name, row.email)


def session_name(work: Work, key: int) -> str:
    """What a session keeps of a person: the key, and a mark that a new password changes, so that
    sessions begun with the old one end.
    """
    row = queries.by_id(work.db, key)
    return f"{key}.{_mark(row.password_hash)}" if row else ""


def person_of_session(work: Work, name: str) -> Who | None:
    """The person whom a session names, unless the password was changed since it began."""
    key, _, mark = name.partition(".")
    if not (key.isascii() and key.isdecimal() and len(key) <= 18):
        return None
    row = queries.by_id(work.db, int(key))
    if row is None or not hmac.compare_digest(mark.encode(), _mark(row.password_hash).encode()):
        return None
    return Who(row.id, row.name, row.email)


def _mark(password_hash: str) -> str:
    """Of the salted hash, not of the password: it tells nothing that could be tried out."""
    return hashlib.blake2b(password_hash.encode(), digest_size=12, person=b"session").hexdigest()


def change_password(work: Work, old: str, new: str) -> None:
    """A new password for the person at work, which ends every session begun with the old one.
    Raises Refused naming `old` or `new`.
    """
    row = queries.by_id(work.db, work.who.id) if work.who else None
    if row is None:
        raise NotAllowed(said("kept.log_in_first"))
    try:
        _hasher.verify(row.password_hash, old)
    except (Argon2Error, InvalidHashError):
        raise Refused("old", None, said("kept.wrong_password")) from None
    if not PASSWORD_LEAST <= len(new) <= PASSWORD_MOST:
        least_most = said("kept.password_length", least=PASSWORD_LEAST, most=PASSWORD_MOST)
        raise Refused("new", None, least_most)
    row.password_hash = _hasher.hash(new)
    work.commit()
