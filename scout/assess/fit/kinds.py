"""The findings of space: framings, where lights stand, shadows, the boom, the background, flicker and
the walk.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from scout.assess.answers import Finding
from scout.assess.answers.finding import Topic
from scout.values import (
    Degrees,
    Length,
    Lux,
    Many,
    Millimetres,
    Name,
    Said,
    Shutter,
    Stops,
    Word,
)

FLOOR = ("room.plan_m", "marks.subject", "marks.camera")


@dataclass(frozen=True, kw_only=True)
class SpaceFinding(Finding):
    """One of how a setup fits into its room."""

    topic: ClassVar[Topic] = "space"
    rests_on: tuple[str, ...] = FLOOR


@dataclass(frozen=True, kw_only=True)
class FramingFinding(SpaceFinding):
    """A framing with the lens that does it best nearest the camera's mark."""

    framing: Word
    lens: Millimetres
    distance: Length
    mark: Length | None = None  # how far the camera's mark is, where that is another place


@dataclass(frozen=True, kw_only=True)
class FramingFits(FramingFinding):
    """The scene's framing can be had; without a scene, the room's best face framing.

    Why:    the camera department packs and places by it.
    Level:  good; care where only framings without a face fit.
    Source: similar triangles; tripod and operator by common practice, calc.fit.lens.framing.
    """

    code = "space.framing_fits"
    levels = ("good", "care")
    fits: Many | None = None
    missing: Many | None = None


@dataclass(frozen=True, kw_only=True)
class FramingTight(FramingFinding):
    """The tripod has its floor, the operator behind it has not, but has beside it.

    Why:    it can be shot, with a bent neck.
    Level:  care.
    Source: an operator takes 1.0 by 1.0 m (common practice).
    """

    code = "space.framing_tight"
    levels = ("care",)
    side: Word


@dataclass(frozen=True, kw_only=True)
class FramingHeld(FramingFinding):
    """No tripod has its floor there, but somebody can hold the camera, or a clamp on the wall.

    Why:    it can be shot, at a price that the scene has to bear.
    Level:  care.
    Source: 0.6 by 0.5 m for a person, 0.25 m for a body on a clamp (common practice).
    """

    code = "space.framing_held"
    levels = ("care",)
    how: Said
    loss: Said


@dataclass(frozen=True, kw_only=True)
class FramingThrough(FramingFinding):
    """The camera stands outside the room and looks in through a door.

    Why:    a small room has no floor behind the lens; the room next door may.
    Level:  care, for nobody recorded what is behind the door, and a way out is taken.
    Source: straight lines through the opening, past leaf and furniture, calc.fit.lens.through.
    """

    code = "space.framing_through"
    levels = ("care",)
    door: Name
    beyond: Length
    why: Said | None


@dataclass(frozen=True, kw_only=True)
class FramingNear(FramingFinding):
    """The face framing fits only from so near that the face is distorted.

    Why:    a nose grows towards the lens.
    Level:  care.
    Source: 1.2 m at least (common practice).
    """

    code = "space.framing_near"
    levels = ("care",)
    least: Length


@dataclass(frozen=True, kw_only=True)
class FramingNone(SpaceFinding):
    """The framing does not fit, and by how much floor.

    Why:    it is found out when the tripod stands against the wall.
    Level:  problem.
    Source: as space.framing_fits.
    """

    code = "space.framing_none"
    levels = ("problem",)
    framing: Word
    lens: Millimetres
    short: Length | None
    because: Said | None


@dataclass(frozen=True, kw_only=True)
class FramingUnknown(SpaceFinding):
    """What the lenses can frame cannot be told.

    Why:    a fact of floor, marks or camera is missing.
    Level:  unknown.
    Source: none.
    """

    code = "space.framing_unknown"
    levels = ("unknown",)
    because: Said


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
class Mirrored(SpaceFinding):
    """Windows after dark, or a gloss wall, in which the scene's widest lens sees lamps or itself.

    Why:    a lamp, the camera or its crew is in the picture where nobody looks for them.
    Level:  care: how much it shows hangs on the light, and is seen through the lens.
    Source: the law of reflection, calc.fit.shadow.mirrored; glass throws back 8 % square on (Fresnel), so
            that it mirrors once less than that comes through it: after sunset (common practice).
    """

    code = "space.mirrored"
    levels = ("care",)
    shows: Many
    dark: datetime | None = None  # from when on, of glass


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
class BackDepth(SpaceFinding):
    """The subject stands far enough off what is behind it.

    Why:    shadows and spill stay off it, and it goes soft.
    Level:  good.
    Source: 1.5 m at least (common practice).
    """

    code = "space.back_depth"
    levels = ("good",)
    depth: Length


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


@dataclass(frozen=True, kw_only=True)
class Backdrop(SpaceFinding):
    """How bright the background reads against a grey card at the face.

    Why:    a background brighter than the face draws the eye.
    Level:  good to a stop over, care beyond it.
    Source: inverse square and the surface's own reflectance; a stop by common practice.
    """

    code = "space.backdrop"
    levels = ("good", "care")
    stops: Stops
    lux: Lux
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class Flicker(SpaceFinding):
    """Lamps of the room that stay on under a shutter that may beat with them.

    Why:    the picture pulses, and it shows at home.
    Level:  care.
    Source: lamps pulse at twice the mains (common practice); n whole pulses hold the same light.
    """

    code = "space.flicker"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("room.practicals", "kit.camera.shutter_s")
    shutter: Shutter
    mains: Many
    swing: Stops | None
    safe: Many


@dataclass(frozen=True, kw_only=True)
class Walk(SpaceFinding):
    """By how much the light along the walk changes.

    Why:    beyond a stop a face is seen to change, and then the exposure holds at one end only.
    Level:  good to a stop; care; problem beyond half of what the camera holds.
    Source: a stop, half the latitude (common practice).
    """

    code = "space.walk"
    levels = ("problem", "care", "good")
    change: Stops
    most: Lux
    brightest: Said
    least: Lux
    darkest: Said
    add: Lux | None
    latitude: Stops | None


@dataclass(frozen=True, kw_only=True)
class PlanAsks(SpaceFinding):
    """Something of the plan that is hardly so: a door over a window by centimetres, a socket in a
    door's opening.

    Why:    a slip of the tape moves light, cables and ways out.
    Level:  care.
    Source: frames are measured inside or outside, up to 5 cm apart (common practice).
    """

    code = "space.plan_asks"
    levels = ("care",)
    question: Said
