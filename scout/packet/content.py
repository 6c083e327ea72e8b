"""What a crew's packet says, already worked out: the one thing a use case hands to the editions.

Only what its readers may see has a place here: whoever composes it passes every record through
`privacy.cleared`. Notes are `CrewNote`; a private note has no type of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from PIL import Image

from scout.assess.answers import Finding, RoomAssessment
from scout.drawing.shapes import Drawing
from scout.packet.names import Paper
from scout.records.kept import (
    CandidateState,
    LocationRecord,
    Overlay,
    ProductionRecord,
    SceneRecord,
)
from scout.records.sheet import RoomSheet
from scout.records.sounds import NoiseWindowRecord
from scout.units import Units
from scout.values import Figure, Many, Name, Said, Spell
from scout.words.figures import Words


@dataclass(frozen=True)
class CrewNote:
    """A note that its author marked as one for the crew."""

    text: str
    author: str | None = None
    written_at: Words | None = None  # as it should be read: "3 May 2026, 10:40"


@dataclass(frozen=True)
class PacketPhoto:
    """A photo chosen for the packet. `draw` gives it upright and in RGB when the page is set, as large
    as fits a box in pixels; what it raises costs this photo alone.
    """

    name: str
    draw: Callable[[tuple[int, int]], Image.Image]
    caption: str | None = None
    facts: tuple[Words, ...] = ()  # plain phrases: "taken 3 May 2026, 10:40", "looking 159° true"
    overlays: tuple[Overlay, ...] = ()


@dataclass(frozen=True)
class PacketChange:
    """One change since the last revision: of which room, place or scene, and what. Of two names that
    stand together each keeps its own direction.
    """

    of: str | Many
    what: Said | Name


@dataclass(frozen=True, kw_only=True)
class PacketSetup:
    """A scene in a room on a date, with what was worked out for its hours."""

    key: str  # names its pages
    scene: SceneRecord
    date: date
    hours: tuple[datetime, datetime] | None  # None: not set, or no zone to read a clock by
    proposed: bool = False  # nobody has kept a plan with these hours
    within: Spell | None = None  # where they are proposed: when it may be shot
    set_up_from: datetime | None = None  # by the days' plan, as strike_until
    strike_until: datetime | None = None
    hanging: Figure | None = None  # minutes that what is hung takes beyond its set-up as planned
    framing: str | None
    lens_mm: float | None  # that the plan is drawn for
    state: CandidateState
    reason: str | None
    place: LocationRecord
    sheet: RoomSheet
    found: RoomAssessment
    plan: Drawing | None = None  # everything to set up by, as large as a page carries
    photos: tuple[PacketPhoto, ...] = ()
    notes: tuple[CrewNote, ...] = ()
    in_room: int = 1  # setups of this print in its room, this one among them

    @property
    def room(self) -> str | None:
        """What its room is called."""
        return self.sheet.room.name


@dataclass(frozen=True, kw_only=True)
class PacketReserve:
    """A room that stands in for a chosen one, or is still proposed."""

    scene: str
    state: CandidateState
    reason: str | None
    place: LocationRecord
    sheet: RoomSheet
    found: RoomAssessment
    plan: Drawing | None = None

    @property
    def is_backup(self) -> bool:
        """Whether somebody named it as the room to go to; one that is only proposed is none."""
        return self.state == "reserve"


@dataclass(frozen=True)
class PacketBackup:
    """A room to go to where a chosen one of a day fails. It has a reserve's page only where it has
    no page of its own as a chosen room of the same print.
    """

    room: str
    place: LocationRecord


@dataclass(frozen=True)
class PacketCall:
    """When somebody of the crew is wanted at a place, and what is to be known of that hour."""

    name: str
    at: datetime  # by the clock on the place's wall
    warnings: tuple[Said, ...] = ()
    role: str | None = None  # on the crew list


@dataclass(frozen=True, kw_only=True)
class PacketDay:
    """One date at one place, its setups in the order of their hours."""

    key: str
    date: date
    place: LocationRecord
    setups: tuple[PacketSetup, ...]
    noises: tuple[NoiseWindowRecord, ...] = ()
    emergency: tuple[str, ...] = ()  # numbers to dial; empty: the country is not known
    country: str | None = None
    photos: tuple[PacketPhoto, ...] = ()
    notes: tuple[CrewNote, ...] = ()
    calls: tuple[PacketCall, ...] = ()  # by the hour
    backups: tuple[PacketBackup, ...] = ()
    comes_from: Name | None = None  # the place where the crew was called that day
    permit: Finding | None = None  # that is still to be asked for
    meals: tuple[Spell, ...] = ()
    dusk: datetime | None = None
    gone: bool = False  # over when the revision was printed


@dataclass(frozen=True, kw_only=True)
class PacketContent:
    """One edition of one revision."""

    edition: str
    production: ProductionRecord
    revision: int
    printed: Said | Name  # when this revision was first printed
    changes: tuple[PacketChange, ...] | None = None  # None: the first revision
    changes_since: Said | Name | None = None
    prepared_by: str | None = None
    days: tuple[PacketDay, ...] = ()
    reserves: tuple[PacketReserve, ...] = ()
    unchosen: tuple[str, ...] = ()  # scenes for which no room is chosen, and none proposed alone
    address: str | None = None  # of the production's page, for the QR
    known_lines: frozenset[str] | None = None  # what the last print of this edition said
    known_pages: tuple[str, ...] = ()  # what its pages showed, by their hashes
    swap_since: int | None = None  # of which revision it was
    paper: Paper = "a4"
    units: Units = "metric"

    @property
    def backups(self) -> tuple[PacketReserve, ...]:
        """The rooms to go to where a chosen one fails."""
        return tuple(one for one in self.reserves if one.is_backup)

    @property
    def coming(self) -> tuple[PacketDay, ...]:
        """The days still to come; all of them where none is."""
        return tuple(day for day in self.days if not day.gone) or self.days

    @property
    def every_setup(self) -> tuple[PacketSetup, ...]:
        """Every setup that has a page, in the order of the days."""
        return tuple(setup for day in self.days for setup in day.setups)

    @property
    def setups(self) -> tuple[PacketSetup, ...]:
        """Every setup of the days to come, in their order: what people are asked and what is packed."""
        return tuple(setup for day in self.coming for setup in day.setups)
