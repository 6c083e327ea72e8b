"""Questions about people who may log in."""

from __future__ import annotations

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from scout.store.models import Person
from scout.store.queries.common import is_key


def by_email(db: Session, email: str) -> Person | None:
    """The person with this address, however its letters are cased."""
    sought = email.strip().lower()
    if "\0" in sought or any(
        "\ud800" <= ch <= "\udfff" for ch in sought
    ):  # cannot be kept, so nobody has it
        return None
    return db.scalar(select(Person).where(Person.email == sought))


def by_id(db: Session, key: int) -> Person | None:
    """The person with this key."""
    return db.get(Person, key) if is_key(key) else None


def hold(db: Session) -> None:
    """Let nobody else be added until this work is done: SQLite's writers wait as it is,
    PostgreSQL's must be told.
    """
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("lock table person in share row exclusive mode"))


def count(db: Session) -> int:
    """How many may log in."""
    return db.scalar(select(func.count()).select_from(Person)) or 0
