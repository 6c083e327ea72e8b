"""What is tapped on a photo of a wall, to measure on it."""

from __future__ import annotations

from typing import ClassVar, get_args

from scout.records.sighted import OnWall, WallPhoto
from scout.values import Word
from scout.web.forms.base import RecordForm, Section
from scout.web.forms.daylight import KeyField, SharesField
from scout.web.forms.fields import ChoiceField, LengthField

SHARES = "shares from left and top, one point a line, such as 0.25, 0.6"
FOUR = "clockwise from the upper left; " + SHARES


class WallPhotoForm(RecordForm[WallPhoto]):
    """Things of known size, and the thing that is asked for."""

    record_type = WallPhoto

    photo_id = KeyField("Photo")
    first = ChoiceField(
        "On the wall",
        choices=[(kind, Word("on_wall", kind)) for kind in get_args(OnWall) if kind != "rectangle"],
        needed=True,
        none="choose",
    )
    second = ChoiceField("And far from it", OnWall, "on_wall", none="nothing more")
    door_width_m = LengthField("The door's width")
    door_height_m = LengthField("The door's height")
    tape_m = LengthField("Length of the tape", hint="between the two ends that are tapped")
    first_at = SharesField("Corners of the first", rows=4, needed=True, hint=FOUR)
    second_at = SharesField("Corners of the second", rows=4, hint=FOUR)
    thing_at = SharesField("Corners of what is measured", rows=4, needed=True, hint=FOUR)
    left_at = SharesField("A point of the wall's left end", rows=1, hint=SHARES)
    floor_at = SharesField("A point where the wall meets the floor", rows=1, hint=SHARES)

    again_id = KeyField("Second photo")
    again_first_at = SharesField("Corners of the first", rows=4, hint=FOUR)
    again_second_at = SharesField("Corners of the second", rows=4, hint=FOUR)
    again_thing_at = SharesField("Corners of what is measured", rows=4, hint=FOUR)
    again_left_at = SharesField("A point of the wall's left end", rows=1, hint=SHARES)
    again_floor_at = SharesField("A point where the wall meets the floor", rows=1, hint=SHARES)

    sections: ClassVar[tuple[Section, ...]] = (
        Section("", ("photo_id", "first", "second", "door_width_m", "door_height_m", "tape_m")),
        Section(
            "Points as numbers",
            ("first_at", "second_at", "thing_at", "left_at", "floor_at"),
            folded=True,
        ),
    )


class TwoPhotosForm(WallPhotoForm):
    """The same with a second photo of the wall."""

    sections = (
        *WallPhotoForm.sections,
        Section(
            "Points on the second photo as numbers",
            (
                "again_id",
                "again_first_at",
                "again_second_at",
                "again_thing_at",
                "again_left_at",
                "again_floor_at",
            ),
            folded=True,
        ),
    )


__all__ = ["TwoPhotosForm", "WallPhotoForm"]
