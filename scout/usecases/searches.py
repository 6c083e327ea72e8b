"""Searches that are kept to be asked again."""

from __future__ import annotations

from collections.abc import Mapping

from scout.errors import Refused
from scout.records.base import NAME_MOST
from scout.store import models
from scout.store.queries import common
from scout.usecases import keeping
from scout.usecases.work import Work
from scout.values import said


def save_search(work: Work, name: str, asked: Mapping[str, str]) -> int:
    """Keep a search under a name; returns its key. Raises Refused."""
    name = " ".join(name.split())
    if not name:
        raise Refused("name", None, said("record.missing"))
    if len(name) > NAME_MOST:
        raise Refused("name", name, said("record.too_long", bound=NAME_MOST))
    row = models.SavedSearch(name=name, asked=dict(asked))
    work.add(row, f"search {name} kept")
    work.commit()
    return row.id


def bin_search(work: Work, key: int, version: int) -> None:
    """Move a kept search to the bin."""
    row = common.one(work.db, models.SavedSearch, key)
    keeping.bin_row(work, row, version, f"search {row.name} moved to the bin")
