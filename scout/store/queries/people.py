"""Questions about people who may log in."""

from __future__ import annotations

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from scout.store.models import Person


def by_email(db: Session, email: str) -> Person | None:
    """The person with this address, however its letters are cased."""
    return db.scalar(select(Person).where(Person.email == email.strip().lower()))


def by_id(db: Session, key: int) -> Person | None:
    """The person with this key."""
    return db.get(Person, key) if 0 < key < 2**31 else None


def count(db: Session) -> int:
    """How many may log in."""
    return db.scalar(select(func.count()).select_from(Person)) or 0
