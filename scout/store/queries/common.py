"""Fetching one row by its key, and a page of many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Select, and_, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session
from sqlalchemy.orm.interfaces import ORMOption

from scout.errors import NotFound, Refused
from scout.store.models import Base, Kept
from scout.values import said

R = TypeVar("R", bound=Base)
T = TypeVar("T", bound=Kept)
MOST_SOUGHT = 1000


def is_key(key: int) -> bool:
    """Whether a number can be a row's key at all: a larger one is an error to either database, and
    is only not there to people.
    """
    return 0 < key < 2**31


def by_key(db: Session, kind: type[R], key: int) -> R | None:
    """The row of a key that somebody may have typed; None where there is none."""
    return db.get(kind, key) if is_key(key) else None


def one(
    db: Session,
    kind: type[T],
    key: int,
    *,
    binned: bool = False,
    to_save: bool = False,
    options: Sequence[ORMOption] | None = None,
) -> T:
    """The row, unless it lies in the bin (or only then, if `binned`). Raises NotFound.

    to_save: wait for whoever is saving this row right now, so that the version compared
        afterwards is theirs
    options: what is loaded along with it
    """
    lock = True if to_save else None
    row = db.get(kind, key, with_for_update=lock, options=options) if is_key(key) else None
    if row is None or (row.binned_at is not None) != binned:
        raise NotFound(kind.__name__.lower(), key)
    return row


def counts(db: Session, owner: InstrumentedAttribute[int], keys: Sequence[int]) -> dict[int, int]:
    """How many living rows some owners have, by the column that names the owner."""
    counted = (
        select(owner, func.count())
        .where(owner.in_(keys), owner.class_.binned_at.is_(None))
        .group_by(owner)
    )
    return dict(db.execute(counted).all())


@dataclass(frozen=True)
class Listing:
    """A list: its question, and the columns it is sorted by, which no two rows have alike (the
    last is the row's key). `newest`: sorted downwards.
    """

    query: Select[*tuple[Any, ...]]
    order: tuple[ColumnElement[Any] | InstrumentedAttribute[Any], ...]
    newest: bool = False
    counted: Select[Any] | None = None  # the keys of the same rows, asked for more cheaply
    bare: Select[*tuple[Any, ...]] | None = None  # its columns of every row: a page's are looked up

    def rows(self) -> Select[*tuple[Any, ...]]:
        """The whole list in its order."""
        return self.query.order_by(*self.sorted())

    def sorted(self, *, backward: bool = False) -> Sequence[ColumnElement[Any]]:
        """What to sort by."""
        return [one.desc() if self.newest != backward else one.asc() for one in self.order]

    def beyond(self, edge: Sequence[Any], *, backward: bool) -> ColumnElement[bool]:
        """Whether a row comes after (backward: before) the one whose sort values are given."""
        down = self.newest != backward
        step = [
            and_(
                *(same == value for same, value in zip(self.order[:k], edge, strict=False)),
                column < edge[k] if down else column > edge[k],
            )
            for k, column in enumerate(self.order)
        ]
        # the first column by itself lets an index begin where the page begins
        first = self.order[0] <= edge[0] if down else self.order[0] >= edge[0]
        return and_(first, or_(*step))


@dataclass(frozen=True)
class Spot:
    """Where a page of a list begins: after a row, before a row, at the end, or (none of these) at
    the beginning. A row that is gone means the beginning.
    """

    after: int | None = None
    before: int | None = None
    end: bool = False


BEGINNING = Spot()


@dataclass(frozen=True)
class Cut:
    """The rows of one page; `earlier` and `later` say that there are more on that side."""

    rows: list[Any]
    total: int
    earlier: bool
    later: bool


def page_of(db: Session, listing: Listing, spot: Spot, per_page: int) -> Cut:
    """One page of a list, found by the row it begins at: the last page costs what the first does,
    and no row is shown twice or left out when others come in meanwhile.
    """
    key = listing.order[-1]
    of_keys = listing.counted
    if of_keys is None:
        of_keys = listing.query.with_only_columns(key).order_by(None)
    total = db.scalar(select(func.count()).select_from(of_keys.subquery())) or 0
    border = spot.after if spot.after is not None else spot.before
    edge = None
    if border is not None and is_key(border):
        columns = listing.query.with_only_columns(*listing.order).where(key == border)
        edge = db.execute(columns).one_or_none()
    backward = spot.end or (edge is not None and spot.after is None)
    by = listing.sorted(backward=backward)
    query = listing.query.order_by(*by).limit(per_page + 1)
    if edge is not None:
        query = query.where(listing.beyond(edge, backward=backward))
    if listing.bare is not None:
        # whole rows are wide to sort: keys alone are, and those of the page looked up by them
        keys = [row[-1] for row in db.execute(query.with_only_columns(*listing.order))]
        query = listing.bare.where(key.in_(keys)).order_by(*by)
    rows = list(db.execute(query))
    more, rows = len(rows) > per_page, rows[:per_page]
    if backward:
        rows.reverse()
        return Cut(rows, total, more, edge is not None)
    return Cut(rows, total, edge is not None, more)


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
