"""The form of a room's own facts, and what goes with every measured fact: who, when, how, how well."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Self, TypeVar

from scout.calc.geometry import WALL_LETTERS, walls
from scout.errors import Refused, RefusedMany
from scout.records import Marks, Measurement, RoomRecord, room_refusals
from scout.records.base import Record
from scout.records.sheet import Furnished, North, Setting
from scout.values import Figure, said
from scout.web.forms.base import Group, GroupForm, RecordForm, Section
from scout.web.forms.bearing import BearingField
from scout.web.forms.fields import (
    ChoiceField,
    DirectionField,
    LengthField,
    NumberField,
    PlaceField,
    ShareField,
    TextField,
    WholeField,
    YesNoField,
)
from scout.web.forms.lines import PointsField, SkylineField
from scout.web.forms.times import DateField, MomentField

R = TypeVar("R", bound=Record)
MEASURED = Section(
    "Who measured it", ("measured",), "Kept with every figure that this form changes."
)
UNMEASURED = frozenset(
    {"id", "name", "setting", "storey", "wall", "circuit", "keep_free"}
)  # named or chosen, not measured
WALLS = [(letter, letter) for letter in WALL_LETTERS]
MOST_WALLS = 8  # walls to choose from where nobody measured how many there are


def walls_of(count: int) -> list[tuple[str, str]]:
    """The walls of a room to choose from; 0: nobody knows how many."""
    return WALLS[: count or MOST_WALLS]


class MeasuredForm(GroupForm):
    """Who measured, when, how, how well."""

    by = TextField("Measured by")
    at = MomentField("When")
    how = TextField("How", hint="tape, laser, compass, drawing, guess")
    accuracy = TextField("How accurate", hint="1 cm, 5 degrees, two readings 0.5 dB apart")


class MeasuredRecordForm(RecordForm[R]):
    """A form of facts that somebody measured."""

    measured = Group(MeasuredForm, "Who measured it")
    room: RoomRecord | None = None  # the room that the facts belong to, to judge them with
    kind: str = ""  # which of its lists they stand in
    at = -1  # at which place there; -1: a new one

    def within(self, room: RoomRecord, kind: str = "", at: int = -1) -> Self:
        """The form, told which room its facts belong to."""
        self.room, self.kind, self.at = room, kind, at
        return self

    @property
    def neighbours(self) -> dict[str, Any] | None:
        """What the page needs to say while it is typed what does not fit the room: how long its walls
        are and what else is in it; None for facts that have no place on a wall.
        """
        if self.room is None or self.kind not in {"windows", "doors", "outlets"}:
            return None
        whole = self.room.model_dump(mode="json", exclude_none=True)
        room: dict[str, Any] = {
            name: whole[name] for name in ("setting", "height_m") if name in whole
        }
        for kind in ("windows", "doors", "outlets"):
            room[kind] = [
                {
                    name: one[name]
                    for name in ("id", "wall", "offset_m", "width_m", "height_m", "sill_m")
                    if name in one
                }
                for at, one in enumerate(whole.get(kind, ()))
                if (kind, at) != (self.kind, self.at)
            ]
        corners = self.room.corners_m
        lengths = {} if corners is None else {wall.letter: wall.length_m for wall in walls(corners)}
        return {"kind": self.kind, "room": room, "walls": lengths}

    def further(self, plain: Mapping[str, Any]) -> Iterator[Refused]:
        """What of the readable part would not fit the room."""
        whole = {} if self.room is None else self.room.model_dump(mode="json", exclude_none=True)
        listed = list(whole.get(self.kind, ()))
        place = len(listed) if self.at < 0 else self.at
        if self.kind:
            listed[place : place + 1] = [dict(plain)]
            whole[self.kind] = listed
        try:
            judged = RoomRecord.read(whole, "room")
        except RefusedMany:
            return  # the part itself is refused already
        yield from (
            refusal
            for refusal in room_refusals(judged)
            if self.kind and refusal.path.startswith(f"room.{self.kind}[{place}]")
        )

    def measurements(self, before: Record | None, under: str = "") -> tuple[Measurement, ...]:
        """One for each figure that this form changes; for all of them when none is changed but how
        or how well is told.

        Raises RefusedMany naming the field.
        """
        facts = self.measured.read()
        if facts is None:
            return ()
        record = self.record()
        known = [
            name
            for name in type(record).model_fields
            if name not in UNMEASURED and getattr(record, name) is not None
        ]
        changed = [
            name
            for name in known
            if before is None or getattr(before, name) != getattr(record, name)
        ]
        told = facts.keys() & {"how", "accuracy"}
        names = changed or (known if told else [])
        try:
            return tuple(
                Measurement.read({**facts, "path": f"{under}.{name}" if under else name})
                for name in names
            )
        except RefusedMany as many:
            raise RefusedMany(
                Refused(f"measured.{r.path}", r.given, r.because) for r in many.refusals
            ) from None


class FacingForm(GroupForm):
    """Which way one wall looks."""

    wall = ChoiceField("Wall", choices=WALLS)
    bearing_deg = BearingField(
        "Bearing, looking out through it",
        hint="clockwise from north, 0 to 360; S or north-east is taken as good to 22.5°",
    )
    north = ChoiceField("Which north", North, "north")
    accuracy_deg = NumberField(
        "How accurate",
        unit="°",
        hint="a phone indoors 15, two readings 2 m apart that agree 10, outdoors or checked against"
        " a shadow or a map 5; left empty 15 is taken indoors, 5 outdoors",
    )
    read_on = DateField(
        "Read on", past=True, hint="a magnetic bearing is corrected for place and date"
    )

    def gathered(self) -> tuple[dict[str, Any], list[Refused]]:
        """What could be read; a word of the compass says how accurate it is, where nobody else does."""
        plain, refusals = super().gathered()
        if "bearing_deg" in plain and "accuracy_deg" not in plain:
            doubt = self.bearing_deg.doubt_deg
            plain |= {} if doubt is None else {"accuracy_deg": doubt}
        return plain, refusals


class WayInForm(GroupForm):
    """How kit gets to this room, where that differs from the place."""

    steps = WholeField("Steps up to this room", hint="0: none")
    lift = YesNoField("Is there a lift")
    door_width_m = LengthField("Narrowest door on the way")
    carry_m = LengthField("Carry from where a van can stop", hint="left empty: as of the place")


class StreetForm(GroupForm):
    """What stands before the windows."""

    width_m = LengthField(
        "Width to the facades opposite", hint="from this building's wall to theirs"
    )
    building_height_m = LengthField("Height of this building", hint="from the ground to its eaves")
    facade_reflectance = ShareField(
        "Light the facades reflect", hint="0 to 1; brick 0.2, pale render 0.5, glass 0.1"
    )


class TagsField(TextField):
    """Single words with commas between."""

    def read(self) -> list[str] | None:
        """The words in order, each once."""
        tags = (" ".join(tag.split()) for tag in self.text.split(","))
        return list(dict.fromkeys(tag for tag in tags if tag)) or None

    def show(self, value: Any) -> None:
        """In one line."""
        self.text = ", ".join(value or ())


class RoomForm(MeasuredRecordForm[RoomRecord]):
    """A room's own facts."""

    record_type = RoomRecord
    called = "room"

    name = TextField("Name", needed=True, wide=True)
    tags = TagsField(
        "How it looks, in single words", hint="with commas between: brick, north light"
    )
    setting = ChoiceField("Setting", Setting, "setting")
    storey = WholeField("Storey", hint="0 is the ground floor, -1 below it")
    width_m = LengthField("Width, along x")
    length_m = LengthField("Length, along y")
    plan_m = PointsField(
        "Or the corners of its plan",
        rows=6,
        example="0, 6.5",
        hint="one a line as x, y; clockwise seen from above, beginning at the left end of wall A; the first is not repeated",
    )
    height_m = LengthField("Ceiling height")
    facing = Group(
        FacingForm,
        "Facing",
        hint="Look out squarely through one wall and read the compass, away from steel and cables.",
    )
    skyline = SkylineField(
        "Skyline",
        rows=4,
        hint="of an exterior: bearing and elevation in degrees, one pair a line, such as 150, 12",
    )

    street = Group(
        StreetForm,
        "Street before the windows",
        hint="For rooms whose windows have a skyline; empty, a usual street is taken and said.",
    )
    furnished = ChoiceField(
        "If its furniture is not recorded",
        Furnished,
        "furnished",
        hint="daylight is then worked out bare and furnished, as a range",
    )
    way_in = Group(
        WayInForm,
        "Way in to this room",
        hint="Only what differs from the place's own way in; it goes before the place's.",
    )

    sections = (
        Section("The room", ("name", "setting", "storey", "tags")),
        Section(
            "Size",
            ("width_m", "length_m", "plan_m", "height_m"),
            "Wall A is the far one on the plan; B, C and D follow clockwise. Leave empty what is not measured.",
        ),
        Section("Facing", ("facing", "skyline", "street")),
        Section("Furniture", ("furnished",), folded=True),
        Section("Way in", ("way_in",), folded=True),
        MEASURED,
    )

    def offer_walls(self) -> Self:
        """The form with as many walls to choose from as it has corners, or those of a rectangle."""
        corners = sum(bool(line.strip()) for line in self.plan_m.text.splitlines())
        self.facing.form.wall.choices = walls_of(max(4, corners))
        return self

    def record(self) -> RoomRecord:
        """The room's own facts; a name is asked for, since rooms are told apart by it."""
        if self.name.blank:
            needed = Refused("name", None, "is needed and was not given")
            try:
                super().record()
            except RefusedMany as many:
                raise RefusedMany([needed, *many.refusals]) from None
            raise RefusedMany([needed])
        return super().record()

    def own_fields(self) -> Iterator[Any]:
        """The facts of the room, not of its parts."""
        return (field for field in super().own_fields() if field.short_name != "measured")


class MarksForm(MeasuredRecordForm[Marks]):
    """Where people and the camera stand."""

    record_type = Marks
    called = "marks"

    subject = PlaceField(
        "Subject's mark",
        hint=said("hint.face_heights", seated=Figure(1.2, "m"), standing=Figure(1.6, "m")),
    )
    camera = PlaceField("Camera's mark", hint="the lens")
    subject_normal = DirectionField(
        "Which way the face looks", hint="left empty: level towards the camera"
    )
    path = PointsField(
        "Path",
        rows=4,
        count=3,
        example="1, 3, 1.5",
        hint="of somebody walking: x, y, height, one point a line",
    )
    others = PointsField(
        "Further people",
        rows=2,
        count=3,
        example="1, 3, 1.2",
        hint="drawn, and lights stand clear of them; only the subject is judged",
    )

    sections = (
        Section(
            "Marks",
            ("subject", "camera", "subject_normal", "path", "others"),
            "Measured on the plan: x to the right, y up the page, from its lower left corner.",
        ),
        MEASURED,
    )
