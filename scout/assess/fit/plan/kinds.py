"""The findings of where lights and boom stand, and of the shadows they throw."""

from __future__ import annotations

from dataclasses import dataclass

from scout.assess.fit.kinds import SpaceFinding
from scout.values import Degrees, Length, Many, Millimetres, Name, Said, Word


@dataclass(frozen=True, kw_only=True)
class KeyPlace(SpaceFinding):
    """Lights that have a place where they work, out of the frame of the lenses that count.

    Why:    load-in goes straight to them.
    Level:  good.
    Source: the best of all places together, calc.fit.plan.three_point; 45 round and 45 above are the ideal.
    """

    code = "space.key_place"
    levels = ("good",)
    lights: Many
    round: Degrees
    above: Degrees
    distance: Length
    why: Said | None = None


@dataclass(frozen=True, kw_only=True)
class LightNoPlace(SpaceFinding):
    """A light for which there is no free floor, height or place out of frame.

    Why:    it is carried in and back out.
    Level:  problem for the key; care for any other.
    Source: as space.key_place.
    """

    code = "space.light_no_place"
    levels = ("problem", "care")
    because: Said


@dataclass(frozen=True, kw_only=True)
class InFrame(SpaceFinding):
    """A light whose stand every lens that counts sees.

    Why:    it is in the picture.
    Level:  care.
    Source: the frame widened by 5 %, calc.fit.lens.camera.
    """

    code = "space.in_frame"
    levels = ("care",)
    clear: Millimetres | None


@dataclass(frozen=True, kw_only=True)
class OnPiece(SpaceFinding):
    """A light that is put where a piece of furniture stands, over its top: on it, or clamped to it.

    Why:    a table tips and a shelf lets go, with a hot lamp on it, over people.
    Level:  care: what a piece bears nobody records.
    Source: the light's place over the piece's outline; the check by common practice.
    """

    code = "space.on_piece"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("room.furniture", "kit.lights")
    piece: Name


@dataclass(frozen=True, kw_only=True)
class LightOff(SpaceFinding):
    """A light that stands too far from where it works, or where something speaks against it.

    Why:    a key from the front is flat, a back light from the side no back light.
    Level:  care.
    Source: within 15 degrees for the key, see calc.fit.plan.search (common practice).
    """

    code = "space.light_off"
    levels = ("care",)
    part: Word
    round: Degrees
    above: Degrees
    because: Said | None


@dataclass(frozen=True, kw_only=True)
class LightMissing(SpaceFinding):
    """Parts of a three-point light for which the kit has no light left, nor a board's place.

    Why:    the subject will not part from the background, or has no shadow side.
    Level:  care.
    Source: common practice.
    """

    code = "space.light_missing"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("kit.lights",)
    parts: Many


@dataclass(frozen=True, kw_only=True)
class PlacesUnknown(SpaceFinding):
    """Where lights can stand, or what of them is in frame, cannot be told.

    Why:    a fact of floor, height, marks, kit or lenses is missing.
    Level:  unknown.
    Source: none.
    """

    code = "space.places_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class HeadShadow(SpaceFinding):
    """A hard shadow of the head on a wall that every lens that counts sees.

    Why:    it looks like a mistake.
    Level:  care.
    Source: full shadow by similar triangles; a hard edge up to 1.5 m off the wall (common practice).
    """

    code = "space.head_shadow"
    levels = ("care",)
    surface: Word
    beyond: Length | None
    lenses: Many
    free: Length


@dataclass(frozen=True, kw_only=True)
class BoomFinding(SpaceFinding):
    """One of the microphone on its pole: from which side of the picture, how far from the mouth."""

    side: Word
    distance: Length
    height: Length


@dataclass(frozen=True, kw_only=True)
class BoomShadow(BoomFinding):
    """The microphone's pole throws a shadow on the face, or on a wall in frame.

    Why:    it moves, and everybody looks at it.
    Level:  care.
    Source: straight lines from the light past the pole, calc.fit.shadow.boom.
    """

    code = "space.boom_shadow"
    levels = ("care",)
    lights: Many
    where: Said


@dataclass(frozen=True, kw_only=True)
class BoomInFrame(BoomFinding):
    """The microphone hangs in the frame of every lens that counts.

    Why:    either the sound or the framing gives way.
    Level:  care.
    Source: calc.fit.lens.camera.
    """

    code = "space.boom_in_frame"
    levels = ("care",)
    lenses: Many


@dataclass(frozen=True, kw_only=True)
class BoomClear(BoomFinding):
    """The microphone on its pole is neither seen nor casts a shadow that is.

    Why:    sound and picture agree.
    Level:  good.
    Source: as space.boom_shadow.
    """

    code = "space.boom_clear"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class BoomNoFloor(SpaceFinding):
    """Nobody who would hold the microphone's pole has floor out of frame.

    Why:    the boom operator finds out when the light is set.
    Level:  care.
    Source: a person takes 0.5 m, 1.0 to 2.0 m from the microphone (common practice), calc.fit.shadow.boom.
    """

    code = "space.boom_no_floor"
    levels = ("care",)
    distance: Length
    height: Length
