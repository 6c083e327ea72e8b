"""The form of what people say about a photo."""

from __future__ import annotations

from scout.records import PhotoRecord
from scout.records.kept import OverlayKind, Turn
from scout.usecases.photos import taken_question
from scout.values import Said
from scout.web.forms.base import RowForm, Rows, Section
from scout.web.forms.fields import (
    ChoiceField,
    DegreesField,
    LongField,
    NumberField,
    ShareField,
    TextField,
    TickField,
    WholeField,
)
from scout.web.forms.position import ConfirmField, PositionForm
from scout.web.forms.times import MomentField


class OverlayRow(RowForm):
    """An arrow, a box or words on the photo."""

    kind = ChoiceField("What", OverlayKind, "overlay", none="choose", needed=True)
    text = TextField("Words", hint="60 letters at most")
    x = ShareField("From the left", hint="0.25 or 25 %")
    y = ShareField("From the top")
    to_x = ShareField("Second place, from the left", hint="an arrow's head, a box's other corner")
    to_y = ShareField("Second place, from the top")


class PhotoForm(PositionForm[PhotoRecord]):
    """Caption, place in the packet, and where and when it was taken."""

    record_type = PhotoRecord
    called = "photo"

    caption = LongField("Caption", rows=2)
    in_packet = TickField("Print it in the packet")
    position = WholeField("Place in the order", hint="0 comes first")
    taken_at = MomentField("Taken")
    latitude_deg = DegreesField("Latitude")
    longitude_deg = DegreesField("Longitude")
    place_confirmed = ConfirmField("Yes, it was taken there")
    bearing_deg = NumberField("The camera looked towards", unit="°", hint="clockwise from north")

    turned = ChoiceField("Turned", Turn, "turn", needed=True)
    overlays = Rows(
        OverlayRow,
        "Arrows, boxes and words",
        row="arrow, box or words",
        spare=0,
        most=30,
        folded=True,
    )

    sections = (
        Section("On the photo", ("turned", "overlays")),
        Section("In the packet", ("caption", "in_packet", "position")),
        Section(
            "Where and when",
            ("taken_at", "latitude_deg", "longitude_deg", "place_confirmed", "bearing_deg"),
            "Filled from the photo's own notes where it has any; the original file is never changed.",
        ),
    )

    def asks(self, latitude_deg: float, longitude_deg: float) -> Said | None:
        """A photo set to 0, 0 is asked about."""
        return taken_question(latitude_deg, longitude_deg)
