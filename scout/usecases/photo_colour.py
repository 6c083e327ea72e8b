"""The colour of a surface picked on a photo of its room, beside a white or grey card; worked out
from the original.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.assess.recorded import PHOTO_BARE, PHOTO_CARD, PHOTO_CARD_LAMPS
from scout.calc.bounce.card import Picked, picked
from scout.calc.geometry import FloatArray
from scout.errors import OutOfRange, Refused
from scout.media.photos.containers.profiles import fault_of
from scout.media.photos.inside import Inside, look_inside
from scout.media.photos.limits import PhotoLimits
from scout.media.photos.pictures import draw_inside, turned
from scout.records import Measurement
from scout.records.sheet import Colour, Surface
from scout.usecases import photos, rooms
from scout.usecases.work import Work
from scout.values import Figure, Many, Said, said

LEAST_PX = 32  # an area smaller than this is noise and compression
SHARE = 0.015  # of the longer side, where that is more
MOST_PICKS = 12
Places = Sequence[tuple[float, float]]  # shares of the picture from its left and its top
Pixels = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]


def pick_colour(
    work: Work,
    photo_id: int,
    walls: Places,
    cards: Places,
    card_reflectance: float,
    greys: Places = (),
) -> Picked:
    """The colour at the wall's places, by the card's; greys: places of a grey card beside a white
    one. Raises NotFound, Refused.
    """
    for name, places in (("wall", walls), ("card", cards), ("grey", greys)):
        if len(places) > MOST_PICKS:
            raise Refused(
                name,
                said("photo.places", count=len(places)),
                said("photo.too_many_places", most=MOST_PICKS),
            )
    held, name, _ = photos.original(work, photo_id)
    path = held.local()
    limits = PhotoLimits(max_bytes=path.stat().st_size)
    turn_deg = photos.turn_deg(work, photo_id)
    pixels, notes = drawn_pixels(look_inside(path, name, limits), name, limits, turn_deg)
    try:
        found = picked(
            [area_of(pixels, "wall", place) for place in walls],
            [area_of(pixels, "card", place) for place in cards],
            card_reflectance,
            [area_of(pixels, "grey", place) for place in greys],
        )
    except OutOfRange as refusal:
        raise Refused(refusal.path, refusal.given, refusal.because) from refusal
    return Picked(
        found.code, found.linear, found.light_reflectance, found.spread, (*found.said, *notes)
    )


def keep_colour(
    work: Work,
    room_id: int,
    surface: str,
    found: Picked,
    *,
    with_card: bool,
    by_daylight: bool = True,
) -> None:
    """Record the picked colour as a surface's, and how it was taken; finish and material stay.
    Raises NotFound, Refused.
    """
    kept = rooms.room(work, room_id).surfaces.get(surface)
    before = kept.record if kept is not None else Surface()
    rooms.save_surface(
        work,
        room_id,
        surface,
        kept.version if kept is not None else None,
        before.model_copy(
            update={
                "colour": Colour(srgb=found.code),
                "light_reflectance": round(min(found.light_reflectance, 1.0), 3),
            }
        ),
    )
    how = PHOTO_BARE if not with_card else PHOTO_CARD if by_daylight else PHOTO_CARD_LAMPS
    accuracy, now = (
        str(said("photo.picks_agree", spread=Figure(found.spread))),
        work.now().isoformat(timespec="seconds"),
    )
    rooms.add_measurement(
        work,
        room_id,
        Measurement(path=f"surfaces.{surface}.colour", how=how, accuracy=accuracy, at=now),
    )


def drawn_pixels(
    inside: Inside, name: str, limits: PhotoLimits, turn_deg: int
) -> tuple[Pixels, tuple[Said, ...]]:
    """The picture as it is shown, in sRGB, and what was said on the way. Raises Refused for a profile that
    cannot be read.
    """
    if inside.parts.icc is not None and fault_of(inside.parts.icc) is not None:
        raise Refused("photo", name, said("photo.profile_unread"))
    drawn = draw_inside(inside, longest_px=None, limits=limits)
    return np.asarray(turned(drawn.image, turn_deg), dtype=np.uint8), tuple(drawn.notes)


def area_of(pixels: Pixels, name: str, place: tuple[float, float]) -> FloatArray:
    """The pixels round a place, (h, w, 3) codes. Raises Refused for one outside the picture."""
    x, y = place
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise Refused(
            name,
            Many((Figure(x), Figure(y)), "list"),
            said("photo.outside_picture"),
        )
    height, width = pixels.shape[:2]
    half = max(LEAST_PX, round(SHARE * max(width, height))) // 2
    left, top = (
        min(max(0, round(x * width) - half), max(0, width - 2 * half)),
        min(max(0, round(y * height) - half), max(0, height - 2 * half)),
    )
    return np.asarray(pixels[top : top + 2 * half, left : left + 2 * half, :3], dtype=np.float64)
