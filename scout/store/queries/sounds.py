"""Questions about recordings and noises that come back."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from scout.store.models import NoiseWindow, Recording


def recordings(db: Session, room_id: int, *, memos: bool = False) -> list[Recording]:
    """A room's recordings, or its memos, those in the bin left out, oldest first."""
    spoken = Recording.purpose == "memo"
    return list(
        db.scalars(
            select(Recording)
            .where(Recording.room_id == room_id, Recording.binned_at.is_(None))
            .where(spoken if memos else ~spoken)
            .order_by(Recording.id)
        )
    )


def all_recordings(db: Session) -> list[Recording]:
    """Every recording, those in the bin too."""
    return list(db.scalars(select(Recording).order_by(Recording.id)))


def waiting(db: Session) -> list[int]:
    """Keys of recordings that are still to be measured."""
    return list(
        db.scalars(
            select(Recording.id)
            .where(Recording.state == "waiting", Recording.binned_at.is_(None))
            .order_by(Recording.id)
        )
    )


def noise_windows(db: Session, location_id: int) -> list[NoiseWindow]:
    """Noises that come back at a place, by the hour."""
    mine = NoiseWindow.location_id == location_id
    return list(
        db.scalars(
            select(NoiseWindow)
            .where(mine, NoiseWindow.binned_at.is_(None))
            .order_by(NoiseWindow.from_time, NoiseWindow.id)
        )
    )
