"""What phones send under names of their own making, so that the same sent again changes nothing."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

from sqlalchemy import delete

from scout.errors import SentBefore
from scout.store.models import Sent
from scout.usecases.work import Work

KEPT = timedelta(days=90)  # a phone that was left in a drawer for a season


def name_of(text: str | None) -> str | None:
    """The name in its one spelling; None for what is no UUID."""
    try:
        return str(UUID(text)) if text else None
    except ValueError:
        return None


def begin(work: Work, once: str) -> None:
    """What this unit of work keeps was sent under that name. Raises SentBefore."""
    work.read_first()  # an upload that follows takes no writer's place while its bytes arrive
    before = work.db.get(Sent, once)
    work.db.rollback()
    if before is not None:
        raise SentBefore(before.there)
    work.once = once


def led(work: Work, once: str, there: str) -> None:
    """Remember where what was sent led to; forget what no phone will ask for again."""
    row = work.db.get(Sent, once)
    if row is not None:
        row.there = there
        work.db.execute(delete(Sent).where(Sent.at < work.now() - KEPT))
        work.commit()
