"""Fetching one row by its key, and a page of many."""

from __future__ import annotations

from typing import Any, TypeVar

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from scout.errors import NotFound, Refused
from scout.store.models import Kept
from scout.values import said

T = TypeVar("T", bound=Kept)
MOST_SOUGHT = 1000


def is_key(key: int) -> bool:
    """Whether a number can be a row's key at all: a larger one is an error to either database, and
    is only not there to people.
    """
    return 0 < key < 2**31


def one(db: Session, kind: type[T], key: int, *, binned: bool = False, to_save: bool = False) -> T:
    """The row, unless it lies in the bin (or only then, if `binned`). Raises NotFound.

    to_save: wait for whoever is saving this row right now, so that the version compared
        afterwards is theirs
    """
    row = db.get(kind, key, with_for_update=True if to_save else None) if is_key(key) else None
    if row is None or (row.binned_at is not None) != binned:
        raise NotFound(kind.__name__.lower(), key)
    return row


def page_of(
    db: Session, query: Select[Any], page: int, per_page: int
) -> tuple[list[Any], int, int]:
    """The rows of one page, which page that is (from 1, the last where there are not so many), and
    how many rows there are in all.
    """
    total = db.scalar(select(func.count()).select_from(query.order_by(None).subquery())) or 0
    page = max(1, min(page, -(-total // per_page)))
    return list(db.execute(query.limit(per_page).offset((page - 1) * per_page))), page, total


def like(text: str) -> str:
    """A pattern that finds `text` anywhere, its own percent signs and underscores taken literally.
    Raises Refused for a text too long to look for.
    """
    if len(text) > MOST_SOUGHT:
        raise Refused("text", text, said("kept.sought_too_long", most=MOST_SOUGHT))
    text = "".join(
        ch for ch in text if ch != "\0" and not "\ud800" <= ch <= "\udfff"
    )  # no text that is kept holds them
    escaped = text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{escaped}%"
