"""The crew's packet: everything joined, printed as the next revision, and what changed since the
last said on its cover.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Literal
from zoneinfo import ZoneInfo

from sqlalchemy.exc import IntegrityError

from scout.assess.daylight import findings as daylight
from scout.assess.fit import fit
from scout.assess.power import power
from scout.assess.room import CAUTION_BREAKER
from scout.errors import NotFound, Refused
from scout.packet.build import build_packet
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
from scout.pages import daylight as daylight_page
from scout.pages import sound as sound_page
from scout.records import LocationRecord, Measurement, ProductionRecord
from scout.store import models, translate
from scout.store.files import hash_of
from scout.store.queries import common, jobs
from scout.store.queries import places as place_queries
from scout.units import Units
from scout.usecases import lines, photos, productions
from scout.usecases.difference import differences, line
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import Figure, said
from scout.words import Reader, reading
from scout.words.figures import Words, when

Paper = Literal["a4", "letter"]
Progress = Callable[[int, int], None]


def print_packet(
    work: Work,
    production_id: int,
    *,
    paper: Paper = "a4",
    units: Units = "metric",
    progress: Progress | None = None,
) -> PacketLine:
    """Print the next revision of a production's packet. Raises NotFound.

    The file is on disk, whole, before the row that names it.
    """
    with reading(Reader(units)):
        return _print(work, production_id, paper, units, progress)


def _print(
    work: Work, production_id: int, paper: Paper, units: Units, progress: Progress | None
) -> PacketLine:
    # working out the rooms takes seconds, and so does setting the pages: nobody else's save should
    # wait for it
    work.read_first()
    row = jobs.production(work.db, production_id)
    last = jobs.last_packet(work.db, production_id)
    revision = last.revision + 1 if last else 1
    rooms = _rooms(work, production_id)
    now = work.now()
    held = _held(work, row, rooms)
    changes = tuple(differences(last.held, held)) if last else None
    content = PacketContent(
        production=translate.to_record(row),
        revision=said("packet.revision", n=revision),
        generated_at=said("packet.at", at=now),
        changes=changes,
        changes_since=said("packet.since", n=last.revision, at=last.made_at) if last else None,
        prepared_by=work.name,
        locations=_locations(work, rooms, production_id, units, progress),
        comparisons=tuple(
            PacketComparison(translate.to_record(scene), productions.compare(work, scene.id))
            for scene in jobs.scenes(work.db, production_id)
        ),
        cautions=_cautions(),
        paper=paper,
        units=units,
    )
    work.db.rollback()
    part = work.packets_dir / f".making-{uuid.uuid4().hex}.pdf"
    try:
        result = build_packet(content, part)
        made = models.Packet(
            production_id=production_id,
            revision=revision,
            made_at=now,
            made_by=work.name,
            paper=paper,
            pages=result.pages,
            sha256=hash_of(part),
            changes=[line(change) for change in changes or ()],
            held=held,
        )
        try:
            work.add(made, f"packet revision {revision} of {content.production.title} printed")
        except IntegrityError:
            raise Refused(
                "packet",
                f"revision {revision}",
                "was printed by somebody else meanwhile; print again",
            ) from None
        part.replace(
            work.packets_dir / f"{made.id}.pdf"
        )  # on disk, whole, before the row that names it
        work.commit()
    finally:
        part.unlink(missing_ok=True)
    if progress:
        progress(len(rooms) + 1, len(rooms) + 1)
    return lines.packet_line(made, tuple(result.warnings))


def packet_file(work: Work, key: int) -> tuple[Path, str]:
    """The file of a printed packet and what to call it. Raises NotFound."""
    row = work.db.get(models.Packet, key) if common.is_key(key) else None
    path = work.packets_dir / f"{key}.pdf"
    if row is None or not path.is_file():
        raise NotFound("packet", key)
    title = (
        "".join(ch if ch.isalnum() else "-" for ch in row.production.title.lower()).strip("-")[:60]
        or "packet"
    )
    return path, f"{title}-r{row.revision}.pdf"


def _rooms(work: Work, production_id: int) -> list[models.Room]:
    """The rooms proposed for any scene of the production and not ruled out, each once, by place and
    name.
    """
    found: dict[int, models.Room] = {}
    for scene in jobs.scenes(work.db, production_id):
        for candidate in jobs.candidates(work.db, scene_id=scene.id):
            if candidate.state != "ruled_out":
                found[candidate.room_id] = place_queries.room(work.db, candidate.room_id)
    return sorted(
        found.values(),
        key=lambda room: (
            room.location.name.casefold(),
            room.location_id,
            (room.name or "").casefold(),
            room.id,
        ),
    )


def _places(rooms: list[models.Room]) -> list[models.Location]:
    return list({room.location_id: room.location for room in rooms}.values())


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
    for place in _places(rooms):
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
    assessment = assessing.assessed_sheet(
        sheet, on, in_full=True, ring=assessing.ring_of(work, row.id)
    )
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


# -- what a revision held, so that the next can say what changed
# -------------------------------------------------------
def _held(work: Work, production: models.Production, rooms: list[models.Room]) -> dict[str, Any]:
    """Plain facts under names people know; what is private is not among them."""
    held: dict[str, Any] = {"Production": _plain(translate.plain_of(production, ProductionRecord))}
    for scene in jobs.scenes(work.db, production.id):
        plain = _plain(translate.plain_of(scene, translate.RECORDS[models.Scene]))
        plain["candidates"] = {
            f"{lines.room_name(c.room)}, {c.room.location.name}": _chosen(c)
            for c in jobs.candidates(work.db, scene_id=scene.id)
        }
        held[_free(held, f"Scene {scene.name}")] = plain
    for place in _places(rooms):
        held[_free(held, place.name)] = {
            **_plain(translate.plain_of(place, LocationRecord)),
            **_noted_there(work, location_id=place.id),
        }
    for room in rooms:
        held[_free(held, f"{lines.room_name(room)}, {room.location.name}")] = {
            **_plain(translate.room_plain(room)),
            "marks": room.marks or {},
            **_noted_there(work, room_id=room.id),
        }
    return held


def _chosen(candidate: models.Candidate) -> dict[str, Any]:
    return {
        "state": candidate.state,
        "reason": candidate.reason,
        **({"plan": _plain(candidate.plan)} if candidate.plan else {}),
    }


def _free(held: Mapping[str, Any], name: str) -> str:
    """The name, or the first of "name (2)", "name (3)" that nothing else goes by: two places may be
    called alike.
    """
    free, count = name, 1
    while free in held:
        count += 1
        free = f"{name} ({count})"
    return free


def _noted_there(
    work: Work, *, location_id: int | None = None, room_id: int | None = None
) -> dict[str, Any]:
    notes = place_queries.notes(work.db, location_id=location_id, room_id=room_id, crew_only=True)
    shots = place_queries.photos(work.db, location_id=location_id, room_id=room_id)
    return {
        "crew notes": {str(row.id): row.text for row in notes},
        "photos": {str(row.id): row.caption or row.original_name for row in shots if row.in_packet},
    }


def _plain(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Lists of labelled things become objects under their labels, so that one more window is not a
    change of all after it.
    """
    return {key: _labelled(value) for key, value in plain.items()}


def _labelled(value: Any) -> Any:
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        names = [
            str(
                item.get("id")
                or item.get("name")
                or item.get("material")
                or item.get("topic")
                or i + 1
            )
            for i, item in enumerate(value)
        ]
        if len(set(names)) == len(names):
            return {name: _labelled(item) for name, item in zip(names, value, strict=True)}
    if isinstance(value, dict):
        return {key: _labelled(item) for key, item in value.items()}
    return value
