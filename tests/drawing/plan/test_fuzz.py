"""Plans of any simple polygon: always drawn, on their paper, to scale, without a number that is
none.
"""

from __future__ import annotations

import math
from typing import Any

from defusedxml.ElementTree import fromstring
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.drawing import svg
from scout.drawing.plan.rim import North
from scout.drawing.plan.sheet import room_plan
from scout.drawing.shapes import Polygon, bounds
from scout.records import room_refusals
from scout.records.sheet import RoomRecord
from tests.drawing.rooms import SUN, group


@st.composite
def rooms(draw: Any) -> RoomRecord:
    """A star-shaped plan, so surely simple, given clockwise, with openings and outlets where they
    fit.
    """
    count = draw(st.integers(3, 12))
    size = draw(st.sampled_from([0.4, 3.0, 12.0, 300.0]))
    flat = draw(st.sampled_from([1.0, 0.2, 5.0]))
    radii = [draw(st.floats(0.3, 1.0)) * size for _ in range(count)]
    plan = [
        [r * math.cos(-2 * math.pi * k / count), r * flat * math.sin(-2 * math.pi * k / count)]
        for k, r in enumerate(radii)
    ]
    lengths = [math.dist(plan[k], plan[(k + 1) % count]) for k in range(count)]
    share, part = draw(st.floats(0.0, 0.6)), draw(st.floats(0.05, 0.35))
    windows = [
        {
            "id": f"W{k}",
            "wall": "ABCDEFGHIJKL"[k],
            "offset_m": lengths[k] * share,
            "width_m": lengths[k] * part,
        }
        for k in range(0, count, 2)
    ]
    outlets = [
        {"id": f"P{k}", "wall": "ABCDEFGHIJKL"[k], "offset_m": length * share}
        for k, length in enumerate(lengths)
    ]
    return RoomRecord.read(
        {
            "name": draw(
                st.text(max_size=40).filter(
                    lambda t: t.strip() and "\0" not in t and t.isprintable()
                )
            ),
            "plan_m": plan,
            "windows": windows,
            "outlets": outlets,
        }
    )


@settings(max_examples=40, deadline=None, derandomize=True)
@given(rooms(), st.floats(0, 359.9), st.booleans())
def test_any_plan_is_drawn_to_scale_on_its_paper(
    room: RoomRecord, bearing_deg: float, screen: bool
) -> None:
    assert not list(room_refusals(room))
    size_mm = (120.0, 150.0) if screen else (170.0, 200.0)
    drawing = room_plan(
        room,
        north=North("A", bearing_deg, True),
        sun=SUN,
        size_mm=size_mm,
        text_mm=3.4 if screen else 2.6,
        stated_scale=not screen,
    )
    left, bottom, right, top = bounds(drawing.shapes)
    assert left >= -0.6
    assert bottom >= -0.6
    assert right <= drawing.width_mm + 0.6
    assert top <= drawing.height_mm + 0.6
    fromstring(svg.render(drawing))
    assert drawing.scale is not None
    assert room.corners_m is not None
    bands = [s for s in group(drawing, "wall-B") if isinstance(s, Polygon)]
    first = bands[0].points[0]
    start = room.corners_m[1]
    end = room.corners_m[2]
    last = bands[-1].points[1] if len(bands[-1].points) == 4 else bands[-2].points[1]
    # property: the inner face of a wall is as long on paper as it is in the room, at the drawing's
    # scale
    assert abs(math.dist(first, last) - math.dist(start, end) * 1000 / drawing.scale) < 1e-6
