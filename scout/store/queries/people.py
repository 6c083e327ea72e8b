"""Questions about people who may log in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from scout.store.models import Invitation, Login, Person, Token, WrongTry
from scout.store.queries.common import by_key


def by_email(db: Session, email: str) -> Person | None:
    """The person with this address, however its letters are cased."""
    sought = email.strip().lower()
    if "\0" in sought or any(
        "\ud800" <= ch <= "\udfff" for ch in sought
    ):  # cannot be kept, so nobody has it
        return None
    return db.scalar(select(Person).where(Person.email == sought))


def name_is_taken(db: Session, name: str) -> bool:
    """Whether somebody who may log in, or who is invited, is called so, however it is cased."""
    held = [*db.scalars(select(Person.name)), *db.scalars(select(Invitation.name))]
    return name.strip().casefold() in {one.strip().casefold() for one in held}


def invitation(db: Session, token_sha256: str) -> Invitation | None:
    """The link to come in with this mark."""
    return db.scalar(select(Invitation).where(Invitation.token_sha256 == token_sha256))


def invitations(db: Session) -> list[Invitation]:
    """All links to come in, the newest first."""
    return list(db.scalars(select(Invitation).order_by(Invitation.id.desc())))


def by_id(db: Session, key: int) -> Person | None:
    """The person with this key."""
    return by_key(db, Person, key)


def hold(db: Session) -> None:
    """Let nobody else be added until this work is done: SQLite's writers wait as it is,
    PostgreSQL's must be told.
    """
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("lock table person in share row exclusive mode"))


def of_login(db: Session, token_sha256: str) -> tuple[datetime, Person] | None:
    """When the session with this mark began, and whose it is."""
    wanted = select(Login.begun_at, Person).join(Person, Person.id == Login.person_id)
    found = db.execute(wanted.where(Login.token_sha256 == token_sha256)).one_or_none()
    return None if found is None else (found[0], found[1])


def logins(db: Session, person_id: int) -> list[Login]:
    """A person's sessions, the newest first."""
    wanted = select(Login).where(Login.person_id == person_id)
    return list(db.scalars(wanted.order_by(Login.begun_at.desc(), Login.id.desc())))


def token(db: Session, token_sha256: str) -> Token | None:
    """The token with this mark."""
    return db.scalar(select(Token).where(Token.token_sha256 == token_sha256))


def tokens(db: Session, person_id: int) -> list[Token]:
    """A person's tokens, the newest first."""
    wanted = select(Token).where(Token.person_id == person_id)
    return list(db.scalars(wanted.order_by(Token.made_at.desc(), Token.id.desc())))


def everybody(db: Session) -> list[Person]:
    """All who may log in, by address."""
    return list(db.scalars(select(Person).order_by(Person.email)))


def tries(db: Session, of: str, since: datetime) -> int:
    """How many tries of one kind there were since a time."""
    wanted = select(func.count()).select_from(WrongTry)
    return db.scalar(wanted.where(WrongTry.of == of, WrongTry.at > since)) or 0


def hold_tries(db: Session) -> None:
    """Let nobody else count tries until this work is done."""
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("lock table wrong_try in share row exclusive mode"))


def count(db: Session) -> int:
    """How many may log in."""
    return db.scalar(select(func.count()).select_from(Person)) or 0
