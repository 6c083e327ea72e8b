"""What the packet is composed of: every room with its answers and drawings, and the comparisons."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from scout.assess.daylight import findings as daylight
from scout.assess.fit import fit
from scout.assess.power import power
from scout.assess.room import CAUTION_BREAKER
from scout.packet.content import (
    CrewNote,
    PacketComparison,
    PacketContent,
    PacketLocation,
    PacketPhoto,
    PacketRoom,
    PacketStaging,
)
from scout.pages import assessing, stagings
from scout.pages import bounce as bounce_page
from scout.pages import choice as choice_page
from scout.pages import daylight as daylight_page
from scout.pages import sound as sound_page
from scout.records import LocationRecord, Measurement, ProductionRecord
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as place_queries
from scout.units import Units
from scout.usecases import photos
from scout.usecases.packets import Heading, Progress
from scout.usecases.work import Work
from scout.values import Figure, said
from scout.words.figures import Words, when


def compose(
    work: Work,
    row: models.Production,
    rooms: list[models.Room],
    heading: Heading,
    progress: Progress | None = None,
) -> PacketContent:
    """The content of a revision: its places with their rooms, and the rooms side by side."""
    return PacketContent(
        production=translate.to_record(row),
        revision=heading.revision,
        generated_at=heading.generated_at,
        changes=heading.changes,
        changes_since=heading.changes_since,
        prepared_by=heading.prepared_by,
        locations=_locations(work, rooms, row.id, heading.units, progress),
        comparisons=tuple(
            PacketComparison(
                translate.to_record(scene),
                choice_page.compare(work, scene.id),
            )
            for scene in jobs.scenes(work.db, row.id)
        ),
        cautions=_cautions(),
        paper=heading.paper,
        units=heading.units,
    )


def _locations(
    work: Work,
    rooms: list[models.Room],
    production_id: int,
    units: Units,
    progress: Progress | None,
) -> tuple[PacketLocation, ...]:
    """Each place once, with its rooms in their order."""
    made: dict[int, PacketRoom] = {}
    for done, room in enumerate(rooms):
        if progress:
            progress(done, len(rooms) + 1)
        made[room.id] = _room(work, room, production_id, units)
    found = []
    for place in list({room.location_id: room.location for room in rooms}.values()):
        record: LocationRecord = translate.to_record(place)
        found.append(
            PacketLocation(
                record=record,
                rooms=tuple(made[room.id] for room in rooms if room.location_id == place.id),
                photos=_photos(work, location_id=place.id, zone=place.timezone),
                notes=_notes(work, location_id=place.id, zone=place.timezone),
            )
        )
    return tuple(found)


def _room(work: Work, row: models.Room, production_id: int, units: Units) -> PacketRoom:
    production: ProductionRecord = translate.to_record(jobs.production(work.db, production_id))
    on = assessing.default_date(work, row.id, production_id)
    staged = stagings.stagings(work, row.id, production_id, on)
    sheet = staged[0].sheet
    assessment = assessing.assessed(staged[0].setup, None, True)
    drawn = assessing.drawings(work, row.id, assessment, units=units, for_print=True, sheet_=sheet)
    zone = row.location.timezone
    measured: tuple[Measurement, ...] = tuple(translate.to_record(m) for m in row.measurements)
    return PacketRoom(
        room=translate.room_record(row),
        marks=sheet.marks,
        kit=production.kit,
        assessment=assessment,
        plan=drawn.plan,
        timeline=drawn.timeline,
        lux=drawn.lux,
        stagings=tuple(_staged(one, units) for one in staged),
        daylight=daylight_page.for_packet(work, row.id, on, production_id, units, sheet),
        measurements=measured,
        photos=_photos(work, room_id=row.id, zone=zone),
        notes=_notes(work, room_id=row.id, zone=zone),
        bounce_plan=bounce_page.for_packet(sheet, assessment),
        sound=sound_page.for_packet(work, row, on, assessment, production_id),
    )


def _staged(staging: stagings.Staging, units: Units) -> PacketStaging:
    drawn = stagings.drawings(staging, units)
    return PacketStaging(
        scenes=staging.scenes,
        kept=staging.kept,
        assessment=staging.found,
        light=drawn.light,
        power=drawn.power,
        shot=drawn.shot,
        wall=drawn.wall,
    )


def _photos(
    work: Work, *, location_id: int | None = None, room_id: int | None = None, zone: str | None
) -> tuple[PacketPhoto, ...]:
    rows = place_queries.photos(work.db, location_id=location_id, room_id=room_id)
    return tuple(_photo(work, row, zone) for row in rows if row.in_packet)


def _photo(work: Work, row: models.Photo, zone: str | None) -> PacketPhoto:
    sha256, files, cache = row.sha256, work.files, work.settings.cache_dir

    def read_jpeg() -> bytes:
        return photos.copy_of(files, cache, sha256, "print").read_bytes()

    facts: list[Words] = ["time not recorded"]
    if row.taken_at:
        at = datetime.fromisoformat(row.taken_at)
        there = at.astimezone(ZoneInfo(zone)) if zone and at.tzinfo else at
        facts = [said("packet.taken", at=there.replace(tzinfo=None))]
    if row.bearing_deg is not None:
        facts.append(said("packet.looking", bearing=Figure(row.bearing_deg, "deg")))
    return PacketPhoto(row.original_name, read_jpeg, row.caption, tuple(facts))


def _notes(
    work: Work, *, location_id: int | None = None, room_id: int | None = None, zone: str | None
) -> tuple[CrewNote, ...]:
    """Crew notes alone: private ones are not even asked for."""
    rows = place_queries.notes(work.db, location_id=location_id, room_id=room_id, crew_only=True)
    return tuple(
        CrewNote(row.text, row.created_by, when(row.created_at, zone or "UTC")) for row in rows
    )


def _cautions() -> tuple[Words, ...]:
    return tuple(
        dict.fromkeys((CAUTION_BREAKER, *power.CAUTIONS, *fit.CAUTIONS, *daylight.CAUTIONS))
    )
