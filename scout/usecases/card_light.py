"""A light reading from a photo of a white or grey card at the mark: worked out from the original,
kept among the room's readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from scout.calc.daylight.sun.position import SUNRISE_DEG, sun_position
from scout.calc.light.card import CardLight, Shot, card_light
from scout.errors import OutOfRange, Refused
from scout.media.photos.inside import Inside, look_inside
from scout.media.photos.limits import PhotoLimits
from scout.media.photos.tags.exif import ExposureTags
from scout.records.parts import next_label
from scout.records.sheet import LightReading, ReadMark, ReadPlane, Sky
from scout.usecases import photos, rooms
from scout.usecases.as_taken import refuse_edited
from scout.usecases.photo_colour import area_of, drawn_pixels
from scout.usecases.work import Work
from scout.values import Name, said


@dataclass(frozen=True)
class CardShots:
    """One photo of a card, and another of the same where there is one."""

    light: CardLight
    taken_at: str | None


def read_card(
    work: Work,
    photo_id: int,
    place: tuple[float, float],
    card_reflectance: float,
    *,
    hdr_off: bool,
    twin_id: int | None = None,
) -> CardShots:
    """The light on the card at a place of a photo, and at the same place of another shot.

    Raises NotFound, or Refused: `card` clipped, black or uneven; `photo` or `twin` without exposure
    data, edited or made smaller; `twin` a stop off; `taken_at` at night.
    """
    page = photos.photo(work, photo_id)
    taken = page.line.taken_at
    location = rooms.room(work, page.owner_id).location.record
    if taken is not None and location.latitude_deg is not None:
        at = datetime.fromisoformat(taken)
        assert location.longitude_deg is not None
        where = {
            "latitude_deg": location.latitude_deg,
            "longitude_deg": location.longitude_deg,
        }
        if at.tzinfo and sun_position(at, **where).geometric_elevation_deg <= SUNRISE_DEG:
            raise Refused("taken_at", at, said("refusal.card.night"))
    shots, plain = [], hdr_off
    for name, key in (("photo", photo_id), ("twin", twin_id)):
        if key is None:
            continue
        held, called, _ = photos.original(work, key)
        path = held.local()
        limits = PhotoLimits(max_bytes=path.stat().st_size)
        inside = look_inside(path, called, limits)
        tags = _untouched(inside, name, called)
        plain &= not tags.rendered and "hdr" not in (tags.software or "").lower()
        assert tags.f_number is not None
        assert tags.shutter_s is not None
        assert tags.iso is not None
        pixels, _ = drawn_pixels(inside, called, limits, photos.turn_deg(work, key))
        area = area_of(pixels, "card", place)
        shots.append(Shot(tags.f_number, tags.shutter_s, tags.iso, area))
    try:
        return CardShots(card_light(shots, card_reflectance, plain_tones=plain), taken)
    except OutOfRange as refusal:
        raise Refused(refusal.path, refusal.given, refusal.because) from refusal


def _untouched(inside: Inside, name: str, called: str) -> ExposureTags:
    """The exposure of a photo that is as its camera made it. Raises Refused."""
    tags = None if inside.exif is None else inside.exif.exposure
    if tags is None or None in (tags.f_number, tags.shutter_s, tags.iso):
        raise Refused(name, Name(called), said("refusal.card.no_exposure"))
    refuse_edited(inside, name, called)
    return tags


def keep_reading(
    work: Work, room_id: int, found: CardShots, mark: ReadMark, plane: ReadPlane, sky: Sky
) -> int:
    """Add the reading to the room's; returns its key. Raises NotFound, Refused, RefusedMany."""
    if found.taken_at is None:
        raise Refused("taken_at", None, said("refusal.card.no_time"))
    record = rooms.room(work, room_id).kept.record
    reading = LightReading(
        id=next_label(record, "readings") or "L1",
        mark=mark,
        plane=plane,
        sky=sky,
        taken_at=found.taken_at,
        lux=float(f"{found.light.lux:.3g}"),
        doubt_stops=found.light.doubt_stops,
        how="card_photo",
    )
    return rooms.add_part(work, room_id, "readings", reading)
