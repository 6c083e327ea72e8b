"""All that a packet says, already worked out: the one thing a use case hands to `build_packet`.

Only what the crew may read has a place here. Notes are `CrewNote`; a private note has no type of
its own, so it cannot be handed over.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from scout.assess.answers import RoomAssessment
from scout.assess.choice.compare import Comparison
from scout.assess.daylight.contrast import ContrastAnswer
from scout.assess.daylight.outdoors import SunAsLight
from scout.assess.daylight.touch import SunTouches
from scout.assess.sound.advice import SoundAdvice
from scout.assess.sound.hours import QuietHours
from scout.drawing.shapes import Drawing
from scout.records.kept import LocationRecord, Measurement, ProductionRecord, SceneRecord
from scout.records.sheet import Kit, Marks, RoomRecord
from scout.units import Units
from scout.values import Name, Said
from scout.words.figures import Words

Paper = Literal["a4", "letter"]


@dataclass(frozen=True)
class CrewNote:
    """A note that its author marked as one for the crew."""

    text: str
    author: str | None = None
    written_at: Words | None = None  # as it should be read: "3 May 2026, 10:40"


@dataclass(frozen=True)
class PacketPhoto:
    """A photo chosen for the packet. `read_jpeg` gives the upright derivative when the page is set;
    what it raises costs this photo alone.
    """

    name: str
    read_jpeg: Callable[[], bytes]
    caption: str | None = None
    facts: tuple[Words, ...] = ()  # plain phrases: "taken 3 May 2026, 10:40", "looking 159° true"


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
    photos: tuple[PacketPhoto, ...] = ()
    notes: tuple[CrewNote, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PacketLocation:
    """A place with its rooms, and what was photographed and noted there."""

    record: LocationRecord
    rooms: tuple[PacketRoom, ...] = ()
    photos: tuple[PacketPhoto, ...] = ()
    notes: tuple[CrewNote, ...] = ()


@dataclass(frozen=True)
class PacketComparison:
    """The candidates for one scene, side by side."""

    scene: SceneRecord
    comparison: Comparison


@dataclass(frozen=True)
class PacketChange:
    """One change since the last revision: of which room, place or scene, and what."""

    of: str
    what: Said | Name


@dataclass(frozen=True, kw_only=True)
class PacketContent:
    """One packet."""

    production: ProductionRecord
    revision: Said | Name
    generated_at: Said | Name
    changes: tuple[PacketChange, ...] | None = (
        None  # None: the first revision, nothing to compare with; empty: nothing changed
    )
    changes_since: Said | Name | None = None  # "revision 2, 3 May 2026, 18:20"
    prepared_by: str | None = None
    locations: tuple[PacketLocation, ...] = ()
    comparisons: tuple[PacketComparison, ...] = ()
    cautions: tuple[Words, ...] = ()
    paper: Paper = "a4"
    units: Units = "metric"
