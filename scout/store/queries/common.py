"""Fetching one row by its key, and a page of many."""

from __future__ import annotations

from typing import Any, TypeVar

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from scout.errors import NotFound
from scout.store.models import Kept

T = TypeVar("T", bound=Kept)


def one(db: Session, kind: type[T], key: int, *, binned: bool = False) -> T:
    """The row, unless it lies in the bin (or only then, if `binned`). Raises NotFound."""
    row = db.get(kind, key) if -(2**31) < key < 2**31 else None
    if row is None or (row.binned_at is not None) != binned:
        raise NotFound(kind.__name__.lower(), key)
    return row


def page_of(db: Session, query: Select[Any], page: int, per_page: int) -> tuple[list[Any], int]:
    """The rows of one page (from 1) and how many there are in all."""
    total = db.scalar(select(func.count()).select_from(query.order_by(None).subquery())) or 0
    rows = list(db.execute(query.limit(per_page).offset((page - 1) * per_page)))
    return rows, total


def like(text: str) -> str:
    """A pattern that finds `text` anywhere, its own percent signs and underscores taken literally."""
    escaped = text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{escaped}%"
