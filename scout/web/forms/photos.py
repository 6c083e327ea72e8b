"""The form of what people say about a photo."""

from __future__ import annotations

from scout.records import PhotoRecord
from scout.web.forms.base import RecordForm, Section
from scout.web.forms.fields import LongField, NumberField, TickField, WholeField
from scout.web.forms.times import MomentField


class PhotoForm(RecordForm[PhotoRecord]):
    """Caption, place in the packet, and where and when it was taken."""

    record_type = PhotoRecord
    called = "photo"

    caption = LongField("Caption", rows=2)
    in_packet = TickField("Print it in the packet")
    position = WholeField("Place in the order", hint="0 comes first")
    taken_at = MomentField("Taken")
    latitude_deg = NumberField("Latitude", unit="°")
    longitude_deg = NumberField("Longitude", unit="°")
    bearing_deg = NumberField("The camera looked towards", unit="°", hint="clockwise from north")

    sections = (
        Section("In the packet", ("caption", "in_packet", "position")),
        Section("Where and when", ("taken_at", "latitude_deg", "longitude_deg", "bearing_deg"),
                "Filled from the photo's own notes where it has any; the original file is never changed."),
    )
