"""All that the edition of figures says, already worked out.

Only what the crew may read has a place here. Notes are `CrewNote`; a private note has no type of
its own, so it cannot be handed over.
"""

from __future__ import annotations

from dataclasses import dataclass

from scout.assess.answers import RoomAssessment
from scout.assess.choice.compare import Comparison
from scout.assess.daylight.mark.contrast import ContrastAnswer
from scout.assess.daylight.sun.outdoors import SunAsLight
from scout.assess.daylight.sun.touch import SunTouches
from scout.assess.sound.advice import SoundAdvice
from scout.assess.sound.hours import QuietHours
from scout.drawing.shapes import Drawing
from scout.records.kept import LocationRecord, Measurement, ProductionRecord, SceneRecord
from scout.records.sheet import Kit, Marks, RoomRecord
from scout.values import Said
from scout.words.figures import Words


@dataclass(frozen=True, kw_only=True)
class PacketDaylight:
    """What the sun does to the picture on the shoot date, the sky from the mark beside the year,
    and the daylight over the floor.
    """

    touches: SunTouches | None = None
    contrast: ContrastAnswer | None = None
    outdoors: SunAsLight | None = None
    drawing: Drawing | None = None
    floor: Drawing | None = (
        None  # daylight factors over the plan, with what was assumed for them or why there are none
    )
    floor_assumed: tuple[Said, ...] = ()
    floor_unknown: Said | None = None


@dataclass(frozen=True, kw_only=True)
class PacketRecording:
    """One recording in words: what it is called, its level, under which conditions, and what it
    shows.
    """

    name: str
    level: Words
    conditions: str | None
    shows: tuple[Said, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PacketSound:
    """The advice for a room's sound, its hours and its recordings."""

    advice: SoundAdvice
    hours: QuietHours
    recordings: tuple[PacketRecording, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PacketStaging:
    """One way a room is used: the scenes, whether somebody drew it by hand, what it comes to, and
    its working plans.
    """

    scenes: tuple[str, ...] = ()
    kept: bool = False
    assessment: RoomAssessment
    light: Drawing | None = None
    power: Drawing | None = None
    shot: Drawing | None = None
    wall: Drawing | None = None  # the wall behind the subject, with the frame of every lens


@dataclass(frozen=True, kw_only=True)
class PacketRoom:
    """A room with everything worked out for the shoot date; None where nothing was worked out or
    drawn.
    """

    room: RoomRecord
    marks: Marks | None = None
    kit: Kit | None = None
    assessment: RoomAssessment | None = None
    plan: Drawing | None = None
    timeline: Drawing | None = None
    lux: Drawing | None = None  # daylight at a mark through the day
    stagings: tuple[
        PacketStaging, ...
    ] = ()  # the first is the one that `assessment` is worked out for
    daylight: PacketDaylight | None = None
    bounce_plan: Drawing | None = None  # small: where the bounced light at the subject comes from
    sound: PacketSound | None = None
    drawings: tuple[Drawing, ...] = ()  # any others, each under its own title
    measurements: tuple[Measurement, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PacketLocation:
    """A place with its rooms, and what was photographed and noted there."""

    record: LocationRecord
    rooms: tuple[PacketRoom, ...] = ()


@dataclass(frozen=True)
class PacketComparison:
    """The candidates for one scene, side by side."""

    scene: SceneRecord
    comparison: Comparison


@dataclass(frozen=True, kw_only=True)
class FiguresContent:
    """The edition of figures."""

    production: ProductionRecord
    locations: tuple[PacketLocation, ...] = ()
    comparisons: tuple[PacketComparison, ...] = ()

    @property
    def measured_rooms(self) -> int:
        """How many rooms something was worked out for."""
        rooms = (room for location in self.locations for room in location.rooms)
        return sum(room.assessment is not None for room in rooms)
