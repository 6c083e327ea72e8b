"""The forms of a room's daylight: which way it faces, found in four ways, and what stands against
its sky.
"""

from __future__ import annotations

from typing import Any

from scout.errors import Refused
from scout.records.sighted import (
    FacingSet,
    FloorPhoto,
    MapLine,
    ShadowLine,
    SkylineSet,
    SkylineTrace,
)
from scout.units import parse_number
from scout.values import Figure, said
from scout.web.forms.base import Group, RecordForm, Section
from scout.web.forms.fields import (
    ChoiceField,
    DegreesField,
    HiddenField,
    LengthField,
    LongField,
    NumberField,
    TypedField,
)
from scout.web.forms.lines import PointsField, SkylineField, in_line, split_line
from scout.web.forms.rooms import WALLS, FacingForm
from scout.web.forms.times import MomentField


class FacingSetForm(RecordForm[FacingSet]):
    """Which way a wall looks, to keep."""

    record_type = FacingSet
    called = "room"

    facing = Group(FacingForm, "Facing")
    how = HiddenField("How it was found")

    sections = (
        Section(
            "Facing",
            ("facing", "how"),
            "Turn the needle to north, or type the bearing seen looking out squarely through a wall.",
        ),
    )


class MapLineForm(RecordForm[MapLine]):
    """Two points of a map."""

    record_type = MapLine

    wall = ChoiceField("Wall", choices=WALLS, needed=True, none="choose")
    runs = ChoiceField(
        "The line runs",
        choices=[
            ("along", "along the wall, from its left end to its right as seen from inside"),
            ("out_through", "square out through the wall, from the room outwards"),
        ],
        needed=True,
        none="choose",
    )
    from_latitude_deg = DegreesField(
        "First point, latitude",
        needed=True,
        hint=said("hint.six_decimals", off=Figure(0.1, "m")),
    )
    from_longitude_deg = DegreesField("First point, longitude", needed=True, hint="west negative")
    to_latitude_deg = DegreesField("Second point, latitude", needed=True)
    to_longitude_deg = DegreesField("Second point, longitude", needed=True)
    accuracy_m = LengthField(
        "How far off either point may be", hint=said("hint.map_doubt", off=Figure(2.0, "m"))
    )

    sections = (
        Section("The wall", ("wall", "runs")),
        Section(
            "Two points",
            (
                "from_latitude_deg",
                "from_longitude_deg",
                "to_latitude_deg",
                "to_longitude_deg",
                "accuracy_m",
            ),
            "From an aerial picture or a plan of the town: two corners of the front, or the room and a spire straight ahead. "
            "The farther apart, the better.",
        ),
    )


class PlanPointField(PointsField):
    """A point of the floor, `x, y`, on one line."""

    kind = TypedField.kind

    def read(self) -> Any:
        """Two lengths in metres. Raises Refused."""
        points = super().read()
        if points is not None and len(points) > 1:
            raise Refused(
                self.short_name, self.text, "is more than one point; write one, such as 2.1, 5.4"
            )
        return points[0] if points else None


class ShadowLineForm(RecordForm[ShadowLine]):
    """A shadow on the floor."""

    record_type = ShadowLine

    at = MomentField(
        "When it lay there",
        needed=True,
        hint="local time by the location's clock, or the time of the photo",
    )
    clock_s = NumberField(
        "How far that clock may be out", unit="s", hint="left empty 60 s is taken"
    )
    near = PlanPointField(
        "A point of the shadow's edge near the window: x, y",
        needed=True,
        hint="on the plan, from its lower left corner, such as 2.1, 5.4",
    )
    far = PlanPointField(
        "A point of the same edge far from it: x, y",
        needed=True,
        hint=said("hint.shadow_points", line=Figure(2.0, "m"), off=Figure(0.02, "m")),
    )
    accuracy_m = LengthField(
        "How far off either point may be", hint=said("hint.tape_doubt", off=Figure(0.02, "m"))
    )

    sections = (
        Section("The time", ("at", "clock_s")),
        Section(
            "The line",
            ("near", "far", "accuracy_m"),
            "The shadow of an upright edge: a jamb, a mullion, the corner of a wall. Never a sill or a head, "
            "whose shadow lies along the wall at every hour.",
        ),
    )


class SkylineSetForm(RecordForm[SkylineSet]):
    """What stands against the sky, to keep."""

    record_type = SkylineSet
    called = r"room|(?:room\.)?windows\[\d+\]"

    skyline = SkylineField(
        "Skyline",
        rows=10,
        hint="true bearing and elevation in degrees, one pair a line, such as 150, 12; empty when it is not measured",
    )
    how = HiddenField("How it was found")

    sections = (
        Section(
            "Skyline",
            ("skyline", "how"),
            "Between points it runs straight, and from the last on through north to the first; one point stands all round.",
        ),
    )


class SharesField(LongField):
    """Points of a picture, a line each: shares of its width and height, from the upper left corner."""

    def read(self) -> list[list[float]] | None:
        """The points. Raises Refused naming the line."""
        points = []
        for number, line in enumerate(self.text.splitlines(), start=1):
            if line.strip():
                parts = split_line(line.strip(), 2)
                if parts is None:
                    raise in_line(self.short_name, line, number, said("refused.shares"))
                points.append([parse_number(part, name=self.short_name) for part in parts])
        return points or None


class KeyField(HiddenField):
    """The number of a record, sent back as it was."""

    def read(self) -> int | str | None:
        """The number; anything else as it stands, for the record to refuse."""
        return (
            int(self.text) if self.text.isdecimal() and len(self.text) < 10 else self.text or None
        )


class FloorPhotoForm(RecordForm[FloorPhoto]):
    """A shadow on a photo of the floor."""

    record_type = FloorPhoto

    photo_id = KeyField("Photo")
    at = MomentField("When it was taken", needed=True, hint="local time by the location's clock")
    clock_s = NumberField(
        "How far that clock may be out", unit="s", hint="left empty 60 s is taken"
    )
    wall = ChoiceField("The rectangle lies along wall", choices=WALLS, needed=True, none="choose")
    along_m = LengthField(
        "Its side along the wall",
        needed=True,
        hint=said("hint.rectangle", along=Figure(0.297, "m"), deep=Figure(0.21, "m")),
    )
    deep_m = LengthField("Its side towards the room", needed=True)
    points = SharesField(
        "Points",
        rows=6,
        needed=True,
        hint="six lines: the rectangle's corner by the wall on the left as one faces the wall, the right one, "
        "the one opposite that, the last; then a point of the shadow's edge near what throws it, and one far from it",
    )

    sections = (
        Section("On the picture", ("photo_id", "points")),
        Section("The rectangle", ("wall", "along_m", "deep_m")),
        Section("The time", ("at", "clock_s")),
    )


class TraceForm(RecordForm[SkylineTrace]):
    """A skyline traced on a photo."""

    record_type = SkylineTrace

    photo_id = KeyField("Photo")
    bearing_deg = NumberField("True bearing of the picture's middle", unit="°", needed=True)
    across_deg = NumberField(
        "Field of view, across", unit="°", hint="or the focal length below, one of the two"
    )
    equivalent_mm = NumberField(
        "Focal length as on 36 × 24", unit="mm", hint="a phone's main camera is about 26"
    )
    tilt_deg = NumberField(
        "Tilt of the lens above the level",
        unit="°",
        hint="left empty level is taken: the horizon is half-way up the picture",
    )
    points = SharesField(
        "Points",
        rows=6,
        needed=True,
        hint="from left and from top as shares of the picture, such as 0.25, 0.4; a click on the picture adds one",
    )

    sections = (
        Section(
            "The picture", ("photo_id", "bearing_deg", "across_deg", "equivalent_mm", "tilt_deg")
        ),
        Section("Along the skyline", ("points",)),
    )


__all__ = [
    "FacingSetForm",
    "FloorPhotoForm",
    "MapLineForm",
    "ShadowLineForm",
    "SkylineSetForm",
    "TraceForm",
]
