"""The findings of the frame: framings, mirrors, the background."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scout.assess.answers import Finding
from scout.assess.fit.kinds import SpaceFinding
from scout.values import Length, Lux, Many, Millimetres, Name, Said, Stops, Word, said


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


def camera_held(findings: Iterable[Finding]) -> Said | None:
    """How the camera is held that has no floor for tripod and operator behind it; None where it has,
    or has no place at all.
    """
    for one in findings:
        if isinstance(one, FramingHeld):
            return one.how
        if isinstance(one, FramingTight):
            return said("fit.by_side", side=one.side)
    return None


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
class Mirrored(SpaceFinding):
    """Windows after dark, a gloss wall or a piece that mirrors, in which the scene's widest lens sees
    lamps or itself.

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
