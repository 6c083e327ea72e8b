"""What every save has in common: the version is compared, a stale save is refused with both texts,
and deleting bins.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from scout.errors import Stale
from scout.records.base import Record
from scout.store import models, translate
from scout.store.models import Kept as KeptRow
from scout.store.queries import common
from scout.store.queries.common import Listing, Spot
from scout.usecases.shown import Kept, Page
from scout.usecases.work import Work

PER_PAGE = 20
MOST_CHOICES = 400  # to choose from in one list; more are to be sought
L = TypeVar("L")


def shown(row: KeptRow, record: Any) -> Kept[Any]:
    """A record with its row's key and version."""
    return Kept(row.id, row.version, record, row.changed_at, row.changed_by)


def compare_version(
    row: KeptRow, version: int, yours: Record, theirs: dict[str, Any], kind: str
) -> None:
    """Raises Stale, with both texts, when the row was saved since the form was opened."""
    if row.version != version:
        raise Stale(
            kind, row.id, yours.model_dump(mode="json", exclude_none=True), theirs, row.version
        )


def save(work: Work, kind: type[Any], key: int, version: int, record: Record, words: str) -> None:
    """Save a record of a simple kind over the version it was opened at."""
    row = common.one(work.db, kind, key, to_save=True)
    compare_version(
        row, version, record, translate.plain_of(row, type(record)), kind.__name__.lower()
    )
    translate.fill(row, record)
    work.changed(row, words)
    work.commit()


def bin_row(work: Work, row: KeptRow, version: int, words: str) -> None:
    """Move a row to the bin. Raises Stale when it was changed since it was shown."""
    if row.version != version:
        raise Stale(type(row).__name__.lower(), row.id, {}, _plain(row), row.version)
    row.binned_at, row.binned_by = work.now(), work.name
    work.changed(row, words)
    work.commit()


def _plain(row: KeptRow) -> dict[str, Any]:
    record = translate.RECORDS.get(type(row))
    return (
        translate.plain_of(row, record)
        if record
        else translate.room_plain(row, parts=False)
        if isinstance(row, models.Room)
        else {}
    )


def page(
    work: Work, listing: Listing, spot: Spot, line_of: Callable[[list[Any]], Sequence[L]]
) -> Page[L]:
    """One page of a list, its rows made lines by `line_of`."""
    cut = common.page_of(work.db, listing, spot, PER_PAGE)
    keys = [row[0].id for row in cut.rows]
    return Page(
        tuple(line_of(cut.rows)),
        cut.total,
        keys[0] if cut.earlier and keys else None,
        keys[-1] if cut.later and keys else None,
    )
