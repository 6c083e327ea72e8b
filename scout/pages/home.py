"""The first page: the next day of shooting, room by room, with what is still open of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scout.store import models
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Word


@dataclass(frozen=True)
class ShootCard:
    """One setup of the next day. `missing`: facts of its room and place that nobody has recorded."""

    scene_id: int
    scene_name: str
    production_id: int
    production_title: str
    room_id: int
    room_name: str
    location_id: int
    location_name: str
    from_time: str | None
    until_time: str | None
    photo_id: int | None
    missing: tuple[Word, ...]


@dataclass(frozen=True)
class NextDay:
    """The next day on which something is shot in a chosen room."""

    on: date
    cards: tuple[ShootCard, ...]


def next_day(work: Work) -> NextDay | None:
    """The next day of shooting, from today on; None where none is planned."""
    rows = jobs.coming_setups(work.db, work.now().date())
    if not rows or rows[0].on is None:
        return None
    photos = queries.first_photos(work.db, room_ids=[row.candidate.room_id for row in rows])
    return NextDay(rows[0].on, tuple(_card(row, photos) for row in rows))


def _card(row: models.Setup, photos: dict[int, int]) -> ShootCard:
    scene, room = row.candidate.scene, row.candidate.room
    place = room.location
    missing = dict.fromkeys(
        (*lines.room_line(room, place, 0).missing, *lines.location_line(place, 0).missing)
    )
    return ShootCard(
        scene.id,
        scene.name,
        scene.production_id,
        scene.production.title,
        room.id,
        lines.room_name(room),
        place.id,
        place.name,
        row.from_time,
        row.until_time,
        photos.get(room.id),
        tuple(missing),
    )
