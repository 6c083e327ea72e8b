"""The sun on the picture, in the packet: figures, reasons, cautions, and two drawings on one strip."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from scout.assess.daylight.mark.contrast import ContrastAnswer, WindowContrast
from scout.assess.daylight.sun.outdoors import SunAsLight
from scout.assess.daylight.sun.touch import SunTouch, SunTouches
from scout.drawing.charts.pair import beside
from scout.drawing.shapes import Circle, Drawing, Line, Pen, Text, bounds
from scout.packet.figures.content import PacketDaylight
from scout.values import Name, said
from tests.packet.invented import ON, content, packet_room, render_packet
from tests.packet.printed import words_of


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(ON.year, ON.month, ON.day, hour, minute, tzinfo=ZoneInfo("Europe/London"))


def printed(held: PacketDaylight | None) -> str:
    """All the text of a packet of one room with this daylight."""
    given = content()
    place = replace(given.locations[0], rooms=(packet_room(daylight=held),))
    body, result = render_packet(replace(given, locations=(place,), comparisons=()))
    assert not result.warnings, result.warnings
    return words_of(PdfReader(io.BytesIO(body)))


def touches(**changes: Any) -> SunTouches:
    facts: dict[str, Any] = {
        "subject": SunTouch("subject", ((at(10, 12), at(11, 40)),), 88.0),
        "cautions": (said("sun.lens_caution"),),
        "lens": SunTouch(
            "lens", ((at(6), at(6, 30)),), 30.0, sun_in_frame=((at(6, 10), at(6, 20)),)
        ),
        "background": SunTouch("background", unknown=Name("because the lenses are not recorded")),
    }
    return SunTouches(ON, **{**facts, **changes})


def test_the_sun_on_the_picture_is_told() -> None:
    # property: what was handed over stands on the page, with the reason where there is no figure
    windows = (
        WindowContrast(
            window="W1", overcast_stops=5.1, clear_stops=4.6, exceeds=True, said="W1 burns out"
        ),
        WindowContrast(window="W2", unknown=Name("because it is blacked out")),
    )
    page = printed(
        PacketDaylight(touches=touches(), contrast=ContrastAnswer(at=at(13, 1), windows=windows))
    )
    for words in (
        "The sun on the picture",
        "10:12 to 11:40",
        "1 h 28 min",
        "the sun itself in frame 06:10 to 06:20",
        "lenses are not recorded",
        str(said("sun.lens_caution")),
        "5.1 stops",
        "W1 burns out",
        "blacked out",
        "13:01",
    ):
        assert words in page, words


def test_outdoors_the_sun_is_told_as_light() -> None:
    found = SunAsLight(
        ON,
        12.0,
        key_left=((at(9), at(10)),),
        back=((at(12), at(15)),),
        behind_subject="behind the subject lies the sky towards 192 degrees",
    )
    page = printed(PacketDaylight(outdoors=found))
    for words in (
        "a face that looks to 12°",
        "Key from the left",
        "09:00 to 10:00",
        "12:00 to 15:00",
        "at no time",
        "towards 192 degrees",
    ):
        assert words in page, words


@pytest.mark.parametrize("held", [None, PacketDaylight()])
def test_nothing_worked_out_takes_no_room(held: PacketDaylight | None) -> None:
    assert "The sun on the picture" not in printed(held)


def test_a_sky_nobody_could_work_out_is_said() -> None:
    reason = SunTouches(
        ON,
        SunTouch("subject"),
        SunTouch("lens"),
        SunTouch("background"),
        unknown=Name("because facing is not measured"),
    )
    page = printed(
        PacketDaylight(
            touches=reason, contrast=ContrastAnswer(unknown=Name("because facing is not measured"))
        )
    )
    assert page.count("because facing is not measured") >= 2


def test_two_drawings_on_one_strip() -> None:
    # by hand: 40 and 60 mm wide with 4 mm between are 104; both hang from the top of the higher, 30
    # mm
    left = Drawing(
        40.0, 20.0, (Line((0.0, 0.0), (40.0, 20.0), Pen()),), "Left", "Words of the left."
    )
    right = Drawing(
        60.0, 30.0, (Circle((30.0, 15.0), 15.0, Pen()),), "Right", "Words of the right."
    )
    both = beside(left, right)
    assert (both.width_mm, both.height_mm) == (104.0, 30.0)
    assert bounds(both.shapes[:1]) == (0.0, 10.0, 40.0, 30.0)
    assert bounds(both.shapes[1:]) == (59.0, 0.0, 89.0, 30.0)
    assert "Words of the left." in both.description
    assert "Words of the right." in both.description


def test_the_daylight_over_the_floor_is_printed_or_its_reason() -> None:
    # property: what was handed over stands on the page
    drawn = Drawing(
        60.0,
        40.0,
        (Line((0.0, 0.0), (60.0, 40.0), Pen(0.2)), Text((5.0, 5.0), "factors here", 2.6, 20.0)),
        "Daylight factor over the room",
        "Words.",
    )
    page = printed(PacketDaylight(floor=drawn, floor_assumed=(Name("the ground is grey"),)))
    assert "factors here" in page
    assert "the ground is grey" in page.casefold()
    assert "Daylight over the floor is not known: because the height is not measured" in printed(
        PacketDaylight(floor_unknown=Name("because the height is not measured"))
    )
