"""The first page: the next day of shooting, with its hours, its calls and what is still open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scout.pages.day import planned
from scout.pages.day.calls import Called, called_on
from scout.pages.day.planned import Shot
from scout.records.kept import Contact
from scout.store import models
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Word


@dataclass(frozen=True)
class ShootCard:
    """One setup of the next day. `missing`: facts of its room and place that nobody has recorded.

    shot: its times by the kept plan; None: not planned, and from_time and until_time are the hours
        in which it may be shot
    """

    scene_id: int
    scene_name: str
    room_id: int
    room_name: str
    location_id: int
    location_name: str
    latitude_deg: float | None
    longitude_deg: float | None
    contacts: tuple[Contact, ...]
    shot: Shot | None
    from_time: str | None
    until_time: str | None
    photo_id: int | None
    missing: tuple[Word, ...]

    @property
    def starts(self) -> tuple[bool, str, int]:
        """Where it stands in the order of the day."""
        at = f"{self.shot.begin:%H:%M}" if self.shot is not None else self.from_time or ""
        return self.shot is None, at, self.scene_id


@dataclass(frozen=True)
class JobDay:
    """One production's next day: rooms in the order of the day, calls by the hour."""

    production_id: int
    title: str
    cards: tuple[ShootCard, ...]
    called: Called

    @property
    def planned(self) -> bool:
        """Whether the kept plan has a time for each of its scenes."""
        return all(card.shot is not None for card in self.cards)


@dataclass(frozen=True)
class NextDay:
    """The next day on which something is shot."""

    on: date
    jobs: tuple[JobDay, ...]


def next_day(work: Work) -> NextDay | None:
    """The next day of shooting, from today on; None where none is to come."""
    today = work.now().date()
    setups = jobs.coming_setups(work.db, today)
    shots = [
        (row.production_id, shot)
        for row in jobs.kept_days(work.db)
        if any(one["on"] >= today.isoformat() for one in row.placed or ())
        for shot in planned.shots(work, row.production_id)
        if shot.on >= today
    ]
    dates = [shot.on for _, shot in shots] + [row.on for row in setups[:1] if row.on is not None]
    if not dates:
        return None
    on = min(dates)
    of_job: dict[int, dict[tuple[int, int], tuple[models.Setup | None, Shot | None]]] = {}
    for row in setups if setups and setups[0].on == on else ():
        scene = row.candidate.scene
        of_job.setdefault(scene.production_id, {})[scene.id, row.candidate.room_id] = row, None
    for production_id, shot in shots:
        if shot.on == on:
            rows = of_job.setdefault(production_id, {})
            key = shot.scene_id, shot.room_id
            rows[key] = rows.get(key, (None, None))[0], shot
    return NextDay(on, tuple(_job(work, key, on, rows) for key, rows in sorted(of_job.items())))


def _job(
    work: Work,
    production_id: int,
    on: date,
    rows: dict[tuple[int, int], tuple[models.Setup | None, Shot | None]],
) -> JobDay:
    row = jobs.production(work.db, production_id)
    photos = queries.first_photos(work.db, room_ids=[room for _, room in rows])
    cards = [_card(work, *key, *found, photos) for key, found in rows.items()]
    return JobDay(
        production_id,
        row.title,
        tuple(sorted(cards, key=lambda card: card.starts)),
        called_on(work, production_id, on),
    )


def _card(
    work: Work,
    scene_id: int,
    room_id: int,
    setup: models.Setup | None,
    shot: Shot | None,
    photos: dict[int, int],
) -> ShootCard:
    scene, room = jobs.scene(work.db, scene_id), queries.room_alone(work.db, room_id)
    place = room.location
    missing = dict.fromkeys(
        (*lines.room_line(room, place, 0).missing, *lines.location_line(place, 0).missing)
    )
    return ShootCard(
        scene.id,
        scene.name,
        room.id,
        lines.room_name(room),
        place.id,
        place.name,
        place.latitude_deg,
        place.longitude_deg,
        tuple(Contact.model_validate(one) for one in place.contacts or ()),
        shot,
        setup.from_time if setup is not None else None,
        setup.until_time if setup is not None else None,
        photos.get(room.id),
        tuple(missing),
    )
