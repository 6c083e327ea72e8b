"""What is kept beside the room sheet: places with their people and access, productions, scenes and
their needs, notes, photo facts.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from scout.records.base import (
    CURRENCY,
    EMAIL,
    WHOLE,
    Above0,
    BearingDeg,
    Least0,
    LengthM,
    Name,
    Number,
    Record,
    Share,
    Text,
    Yes,
    keepable,
    listed,
    refuse,
)
from scout.records.opening import Clock, Dates, OpeningHours
from scout.records.sheet import Kit, Moment, SheetLocation, Tags
from scout.values import Figure, said

PhoneSignal = Literal["none", "weak", "fair", "good"]
CandidateState = Literal["proposed", "first_choice", "reserve", "ruled_out"]
NoteAudience = Literal["crew", "private"]
OverlayKind = Literal["arrow", "box", "words"]
Strength = Literal["must", "wish"]
FramingName = Literal["wide", "full_figure", "medium", "head_and_shoulders", "two_people"]
MicSpeech = Literal["clean", "usable"]
RiskMost = Literal["none", "low", "medium"]
CompassPoint = Literal[
    "north", "north_east", "east", "south_east", "south", "south_west", "west", "north_west"
]


class Contact(Record):
    """Somebody to call about a place."""

    name: Name
    role: Text | None = None
    phone: Text | None = None
    email: Text | None = None
    note: Text | None = None


class Spot(Record):
    """A point out of doors."""

    latitude_deg: Annotated[Number, Field(ge=-90, le=90)]
    longitude_deg: Annotated[Number, Field(ge=-180, le=180)]


class LocationRecord(SheetLocation):
    """A place with rooms in it: how to get in, whom to ask, what is allowed, and what can hurt."""

    name: Name
    contacts: Annotated[tuple[Contact, ...], BeforeValidator(listed)] | None = None
    # access and load-in, beside what travels in a sheet
    door_height_m: LengthM | None = None
    lift_height_m: LengthM | None = None
    door_at: Spot | None = None  # where kit is carried in
    parking_at: Spot | None = None
    load_in: Text | None = None
    parking: Text | None = None
    parking_hours: OpeningHours | None = None  # when parking is free for us
    opening_hours: OpeningHours | None = None
    hours: Text | None = None
    permits: Text | None = None
    permit_lead_days: Annotated[int, Field(ge=0, le=3650), WHOLE] | None = None
    permit_granted: bool | None = None  # None: nobody has said so
    quiet_from: Clock | None = None  # neighbours want quiet between these, by the wall's clock
    quiet_until: Clock | None = None
    fee_amount: Least0 | None = None
    fee_currency: Annotated[str, Field(pattern=CURRENCY)] | None = None
    fee_note: Text | None = None
    house_rules: Text | None = None
    restrooms: Text | None = None
    holding: Text | None = None
    phone_signal: PhoneSignal | None = None
    emergency_care: Text | None = None
    hazards: Text | None = None

    @property
    def sheet_location(self) -> SheetLocation:
        """The part of the place that travels in a room sheet."""
        keys = SheetLocation.model_fields
        return SheetLocation.model_validate(
            {key: getattr(self, key) for key in keys if key in self.model_fields_set}
        )


class CrewMember(Record):
    """Somebody on the crew list."""

    name: Name
    role: Text | None = None
    phone: Text | None = None
    call_time: Clock | None = None


class ProductionRecord(Record):
    """One job for one client, with its dates, its crew and its kit."""

    title: Name
    client: Text | None = None
    shoot_dates: Dates | None = None
    crew: Annotated[tuple[CrewMember, ...], BeforeValidator(listed)] | None = None
    kit: Kit | None = None


MOST_WEIGHT = 100


class _Need(Record):
    strength: Strength
    # how much a wish counts against the other wishes; a must is a must
    weight: Annotated[int, Field(ge=0, le=MOST_WEIGHT), WHOLE] = 3
    # how its worth rises to what is asked: 0 evenly, above 0 soon, below 0 late
    bend: Annotated[Number, Field(ge=-5, le=5)] | None = None


class WhenNeed(_Need):
    """Dates and hours in which the room must be open and lit as wanted."""

    topic: Literal["when"]
    dates: Dates
    from_time: Clock | None = None
    until_time: Clock | None = None

    @model_validator(mode="after")
    def _has_a_date(self) -> Self:
        if not self.dates:
            raise refuse(said("record.no_dates"))
        return self


class FloorNeed(_Need):
    """Clear floor, whichever way round it lies."""

    topic: Literal["floor"]
    width_m: LengthM
    length_m: LengthM


class HeightNeed(_Need):
    """Ceiling height at least."""

    topic: Literal["height"]
    height_m: LengthM


class FramingNeed(_Need):
    """A framing that must be possible with one of the lenses."""

    topic: Literal["framing"]
    framing: FramingName


class NoiseNeed(_Need):
    """The room's own noise at most."""

    topic: Literal["noise"]
    laeq_db: Annotated[Number, Field(ge=0, le=120)]


class DaylightNeed(_Need):
    """Daylight wanted at the mark, or shut out."""

    topic: Literal["daylight"]
    want: Literal["wanted", "shut_out"]


class ColourNeed(_Need):
    """Bounce colour cast at most."""

    topic: Literal["colour"]
    risk: RiskMost


class WattsNeed(_Need):
    """Electric power for lights and chargers at least."""

    topic: Literal["watts"]
    watts: Above0


class AccessNeed(_Need):
    """How kit gets in: steps and carry at most, door width at least."""

    topic: Literal["access"]
    steps: Annotated[int, Field(ge=0, le=10_000), WHOLE] | None = None
    carry_m: Annotated[Number, Field(ge=0, le=100_000)] | None = None
    door_width_m: LengthM | None = None
    step_free: Yes | None = None  # no steps, or a lift

    @model_validator(mode="after")
    def _asks_something(self) -> Self:
        asked = (self.steps, self.carry_m, self.door_width_m, self.step_free)
        if all(one is None for one in asked):
            raise refuse(said("record.asks_nothing"))
        return self


class BudgetNeed(_Need):
    """Fee at most."""

    topic: Literal["budget"]
    amount: Least0
    currency: Annotated[str, Field(pattern=CURRENCY)]


class DepthNeed(_Need):
    """A clear lane of floor at least this long, past the furniture."""

    topic: Literal["depth"]
    depth_m: LengthM


class SunNeed(_Need):
    """No direct sun on the face or into the lens within the hours."""

    topic: Literal["sun"]


class FacingNeed(_Need):
    """A window that faces a point of the compass."""

    topic: Literal["facing"]
    facing: CompassPoint


class LuxNeed(_Need):
    """Daylight at the mark at least, under cloud at noon."""

    topic: Literal["lux"]
    lux: Above0


class SocketsNeed(_Need):
    """Sockets at least."""

    topic: Literal["sockets"]
    sockets: Annotated[int, Field(ge=1, le=1000), WHOLE]


class MicNeed(_Need):
    """Speech at the best microphone placement at least."""

    topic: Literal["mic"]
    speech: MicSpeech


class LookNeed(_Need):
    """How it looks: tags that the room has."""

    topic: Literal["look"]
    tags: Tags

    @model_validator(mode="after")
    def _names_one(self) -> Self:
        if not self.tags:
            raise refuse(said("record.no_tags"))
        return self


class TravelNeed(_Need):
    """No further than this from where the day starts, as the crow flies."""

    topic: Literal["travel"]
    km: Above0
    from_latitude_deg: Annotated[Number, Field(ge=-90, le=90)]
    from_longitude_deg: Annotated[Number, Field(ge=-180, le=180)]


class PermitNeed(_Need):
    """A permit takes so many days at most."""

    topic: Literal["permit"]
    days: Annotated[int, Field(ge=0, le=3650), WHOLE]


class NeighboursNeed(_Need):
    """Neighbours want no quiet within the hours."""

    topic: Literal["neighbours"]


Need = Annotated[
    WhenNeed
    | FloorNeed
    | DepthNeed
    | HeightNeed
    | FramingNeed
    | NoiseNeed
    | MicNeed
    | DaylightNeed
    | FacingNeed
    | FacingNeed
    | LuxNeed
    | SunNeed
    | ColourNeed
    | WattsNeed
    | SocketsNeed
    | LookNeed
    | AccessNeed
    | TravelNeed
    | PermitNeed
    | NeighboursNeed
    | BudgetNeed,
    Field(discriminator="topic"),
]
NEED_TOPICS: tuple[str, ...] = tuple(
    get_args(kind.model_fields["topic"].annotation)[0] for kind in get_args(get_args(Need)[0])
)


class SceneRecord(Record):
    """What must be seen and heard, and what the room must give for it."""

    name: Name
    seen: Text | None = None
    heard: Text | None = None
    needs: Annotated[tuple[Need, ...], BeforeValidator(listed)] | None = None


class CandidateRecord(Record):
    """A room proposed for a scene, and where the choice stands."""

    state: CandidateState = "proposed"
    reason: Text | None = None


class NoteRecord(Record):
    """What somebody wrote; a private note never enters a packet."""

    text: Annotated[Text, Field(min_length=1)]
    audience: NoteAudience = "crew"


class GateRecord(Record):
    """What opens a door, a gate or an alarm. It is kept sealed and shown on demand alone."""

    label: Name
    code: Annotated[str, Field(min_length=1, max_length=200), AfterValidator(keepable)]
    note: Text | None = None


SHORTEST = 0.01  # of the picture's width and height: what is shorter is a tap that slipped


class Overlay(Record):
    """An arrow, a box or words on a photo, at shares of the upright picture's width from its left and
    of its height from its top. An arrow points to its second place; of a box both are corners.
    """

    kind: OverlayKind
    x: Share
    y: Share
    to_x: Share | None = None
    to_y: Share | None = None
    text: Annotated[str, Field(min_length=1, max_length=60), AfterValidator(keepable)] | None = None

    @model_validator(mode="after")
    def _shows_something(self) -> Self:
        if self.kind == "words":
            if self.text is None:
                raise refuse(said("record.overlay_words"))
        elif self.to_x is None or self.to_y is None:
            raise refuse(said("record.overlay_end"))
        else:
            gaps = abs(self.to_x - self.x), abs(self.to_y - self.y)
            if (max if self.kind == "arrow" else min)(gaps) < SHORTEST:
                raise refuse(said("record.overlay_short", least=Figure(100 * SHORTEST, "%")))
        return self


Turn = Literal["no", "right", "over", "left"]  # of a photo, from how its file says it was held


class PhotoRecord(Record):
    """What people may say about a photo; what the file itself says is kept beside it. Places on it
    (`overlays`) are of the picture as it is shown: turned.
    """

    caption: Text | None = None
    turned: Turn = "no"
    in_packet: bool = True
    position: Annotated[int, Field(ge=0, le=1_000_000), WHOLE] = 0
    latitude_deg: Annotated[Number, Field(ge=-90, le=90)] | None = None
    longitude_deg: Annotated[Number, Field(ge=-180, le=180)] | None = None
    bearing_deg: BearingDeg | None = None
    taken_at: Moment | None = None
    overlays: (
        Annotated[tuple[Overlay, ...], BeforeValidator(listed), Field(max_length=30)] | None
    ) = None


class Measurement(Record):
    """Who measured a fact, when, how, and how well: `path` names the fact within its room, such as
    windows.W1.sill_m.
    """

    path: Annotated[str, Field(min_length=1, max_length=200), AfterValidator(keepable)]
    by: Name | None = None
    at: Moment | None = None
    how: Text | None = None  # tape, laser, compass, guess, drawing ...
    accuracy: Text | None = None  # "1 cm", "5 degrees", "two readings 0.5 dB apart"


class TokenRecord(Record):
    """A token as its person calls it."""

    name: Name


class LinkRecord(Record):
    """A link as whoever makes it calls it: whom it is for, and how long it leads somewhere."""

    name: Name
    days: Annotated[int, Field(ge=1, le=366), WHOLE] = 14
    passphrase: Annotated[Text, Field(min_length=8, max_length=200)] | None = None


class Person(Record):
    """Somebody who may log in."""

    email: Annotated[Text, Field(min_length=3, max_length=200, pattern=EMAIL)]
    name: Name
