"""Light, power and shot plans and the wall behind: to scale, everything explained, no letters over
letters, in rooms of every shape.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from defusedxml.ElementTree import fromstring

from scout.assess.fit import fit
from scout.assess.power import power
from scout.drawing import svg
from scout.drawing.lettering import Hand
from scout.drawing.plan.elevation import elevation
from scout.drawing.plan.legend import LEGEND, SHORTER
from scout.drawing.plan.light import LightSheet
from scout.drawing.plan.place import PlaceSheet
from scout.drawing.plan.power import PowerSheet
from scout.drawing.plan.sheet import Working, room_plan
from scout.drawing.plan.sheets import (
    background,
    chosen_lens,
    crossings,
    light_sheet,
    power_sheet,
    shot_sheet,
)
from scout.drawing.shapes import Drawing, Line, Polygon, Text, bounds, walk
from scout.records import Marks, RoomSheet
from scout.values import Figure, said
from tests.drawing.rooms import group

KIT = {
    "camera": {
        "sensor_width_mm": 24.9,
        "sensor_height_mm": 14.0,
        "focal_lengths_mm": [24, 35, 50, 85],
        "f_number": 2.8,
        "shutter_s": 0.02,
        "iso": 800,
    },
    "lights": [
        {"id": "key", "watts": 300, "lux_at_1m": 9000, "beam_deg": 55, "soft_width_m": 0.9},
        {"id": "fill", "watts": 100, "lux_at_1m": 3000},
        {"id": "back", "watts": 60, "lux_at_1m": 2000, "beam_deg": 30},
        {"id": "eye light", "watts": 20, "lux_at_1m": 200},
    ],
}
TWELVE = [
    [
        round(5 + 4.2 * math.cos(-math.pi * k / 6) * (1 if k % 2 else 0.75), 2),
        round(5 + 4.2 * math.sin(-math.pi * k / 6) * (1 if k % 2 else 0.75), 2),
    ]
    for k in range(12)
]
ROOMS: dict[str, dict[str, Any]] = {
    "parlour": {
        "width_m": 5.0,
        "length_m": 6.5,
        "marks": {
            "subject": [2.5, 3.5, 1.2],
            "camera": [2.5, 0.9, 1.4],
            "path": [[1, 2.2, 1.5], [2, 2.4, 1.5], [4, 2.2, 1.5]],
        },
    },
    "closet": {
        "width_m": 1.4,
        "length_m": 2.0,
        "marks": {"subject": [0.7, 1.5, 1.2], "camera": [0.7, 0.3, 1.4]},
    },
    "hall": {
        "width_m": 12.0,
        "length_m": 30.0,
        "height_m": 6.0,
        "marks": {"subject": [6, 18, 1.6], "camera": [6, 10, 1.6]},
    },
    "ell": {
        "plan_m": [[0, 4], [2, 4], [2, 6], [7, 6], [7, 0], [0, 0]],
        "marks": {"subject": [4.5, 4, 1.2], "camera": [4.5, 1, 1.4]},
    },
    "horseshoe": {
        "plan_m": [[0, 8], [3, 8], [3, 3], [6, 3], [6, 8], [9, 8], [9, 0], [0, 0]],
        "marks": {"subject": [1.5, 5, 1.2], "camera": [1.5, 1.5, 1.4]},
    },
    "triangle": {
        "plan_m": [[0, 0], [4, 7], [8, 0]],
        "marks": {"subject": [4, 4, 1.2], "camera": [4, 1.2, 1.4]},
    },
    "twelve": {"plan_m": TWELVE, "marks": {"subject": [5, 6, 1.2], "camera": [5, 3.2, 1.4]}},
    "many": {
        "width_m": 8.0,
        "length_m": 5.0,
        "marks": {"subject": [4, 3.2, 1.2], "camera": [4, 0.8, 1.4]},
        "windows": [
            {
                "id": f"W{k}",
                "wall": "A",
                "offset_m": 0.1 + 0.79 * k,
                "sill_m": 0.9,
                "width_m": 0.6,
                "height_m": 1.2,
            }
            for k in range(10)
        ],
        "outlets": [
            {
                "id": f"P{k}",
                "wall": "B",
                "offset_m": 0.4 + 0.15 * k,
                "height_m": 0.3,
                "circuit": "K1",
                "sockets": 2,
            }
            for k in range(8)
        ],
    },
    "yard": {
        "setting": "exterior",
        "height_m": None,
        "plan_m": [[0, 10], [8, 14], [20, 9], [16, 0], [3, 1]],
        "marks": {"subject": [8, 7, 1.6], "camera": [8, 3, 1.6]},
    },
}


def sheet_of(name: str) -> RoomSheet:
    facts = dict(ROOMS[name])
    marks = facts.pop("marks")
    room = {
        "name": name,
        "setting": "interior",
        "height_m": 2.7,
        "circuits": [
            {"id": "K1", "volts": 230, "breaker_a": 16},
            {"id": "K2", "volts": 230, "breaker_a": 10},
        ],
        "outlets": [
            {
                "id": "P1",
                "wall": "A",
                "offset_m": 0.6,
                "height_m": 0.3,
                "circuit": "K1",
                "sockets": 2,
            },
            {
                "id": "P2",
                "wall": "C",
                "offset_m": 0.5,
                "height_m": 0.3,
                "circuit": "K2",
                "sockets": 2,
            },
        ],
        **facts,
    }
    if "windows" not in room and room["setting"] == "interior":
        room["windows"] = [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 0.3,
                "sill_m": 0.9,
                "width_m": 0.8,
                "height_m": 1.2,
            }
        ]
        room["doors"] = [
            {"id": "D1", "wall": "B", "offset_m": 0.4, "width_m": 0.8, "height_m": 2.0}
        ]
    return RoomSheet.model_validate(
        {"schema": "room-sheet/1", "room": room, "marks": marks, "kit": KIT}
    )


def level(sheet: RoomSheet) -> RoomSheet:
    """The parlour with a camera that looks level, so that frames are upright oblongs."""
    return sheet.model_copy(
        update={"marks": Marks.read({"subject": [2.5, 3.5, 1.4], "camera": [2.5, 0.9, 1.4]})}
    )


def plans(sheet: RoomSheet) -> dict[str, Working]:
    answer = fit.fit(sheet)
    placed = fit.placements(sheet, answer)
    return {
        "light": light_sheet(sheet, answer, placed),
        "power": power_sheet(sheet, power.power(sheet, placed), answer, placed),
        "shot": shot_sheet(sheet, answer),
    }


def drawn(sheet: RoomSheet, working: Working, **more: Any) -> Drawing:
    return room_plan(sheet.room, working=working, **{"size_mm": (170.0, 150.0), **more})


@pytest.mark.parametrize(
    ("name", "kind"), list(itertools.product(ROOMS, ("light", "power", "shot")))
)
def test_every_room_gets_its_plans_within_the_paper(name: str, kind: str) -> None:
    sheet = sheet_of(name)
    drawing = drawn(sheet, plans(sheet)[kind])
    left, bottom, right, top = bounds(drawing.shapes)
    assert (left, bottom) >= (-0.6, -0.6)
    assert right <= drawing.width_mm + 0.6
    assert top <= drawing.height_mm + 0.6
    fromstring(svg.render(drawing))
    texts = [shape for shape in walk(drawing.shapes) if isinstance(shape, Text) and shape.text]
    # property: nothing printed is under 6.5 pt (2.29 mm)
    assert min(text.size_mm for text in texts) >= 2.29
    for a, b in itertools.combinations(texts, 2):
        assert not _over(a, b), f"{a.text!r} runs over {b.text!r}"


def _over(a: Text, b: Text) -> bool:
    """Whether two upright lines of letters overlap by more than a hair."""
    if a.angle_deg or b.angle_deg:
        return False
    (x1, y1), _, (x2, y2), _ = a.corners(-0.15 * a.size_mm)
    (u1, v1), _, (u2, v2), _ = b.corners(-0.15 * b.size_mm)
    return min(x2, u2) - max(x1, u1) > 0.1 and min(y2, v2) - max(y1, v1) > 0.1


@pytest.mark.parametrize("kind", ["light", "power", "shot"])
def test_the_legend_has_exactly_what_is_drawn(kind: str) -> None:
    sheet = sheet_of("parlour")
    drawing = drawn(sheet, plans(sheet)[kind])
    said = {shape.text for shape in walk(drawing.shapes) if isinstance(shape, Text)}
    explained = {
        symbol
        for symbol, (words, _) in LEGEND.items()
        if {words, SHORTER.get(symbol, words)} & said
    }
    wanted = {
        "light": {
            "role_key",
            "role_fill",
            "role_back",
            "role_other",
            "aim",
            "beam",
            "tape",
            "subject",
            "camera",
        },
        "power": {"role_key", "role_fill", "role_back", "role_other", "outlet", "path"},
        "shot": {
            "camera",
            "subject",
            "field",
            "field_chosen",
            "band",
            "operator",
            "tape",
            "path",
            "walk_mark",
            "focus",
            "field_name",
        },
    }[kind]
    assert wanted <= explained
    others = {
        "light": {"outlet", "band", "lead_0"},
        "power": {"band", "beam", "camera"},
        "shot": {"role_key", "outlet", "beam"},
    }[kind]
    assert not others & explained
    assert (
        not {"wall", "window", "door", "letter"} & explained
    )  # the room's own plan, before it, explains those


def test_a_tape_is_as_long_on_paper_as_it_says() -> None:
    sheet = sheet_of("parlour")
    working = plans(sheet)["light"]
    drawing = drawn(sheet, working)
    assert drawing.scale is not None
    for light in working.lights:  # type: ignore[attr-defined]
        for tape in light.tapes:
            line = next(
                s for s in group(drawing, f"tape-{light.name}-{tape.wall}") if isinstance(s, Line)
            )
            # property: what is drawn and the reach of the symbol make up the tape at the drawing's
            # scale
            assert math.dist(line.start, line.end) + 1.1 * 1.15 * 2.6 == pytest.approx(
                tape.distance_m * 1000 / drawing.scale, abs=0.01
            )


def test_the_band_is_where_the_lens_sees_the_wall() -> None:
    sheet = level(sheet_of("parlour"))
    working = shot_sheet(sheet, fit.fit(sheet), 35)
    drawing = drawn(sheet, working)
    assert drawing.scale is not None
    band = next(s for s in group(drawing, "band-A") if isinstance(s, Polygon))
    # by hand: wall A is 5.6 m off the lens; 24.9 / (2 x 35) x 5.6 = 1.992 m to either side of x =
    # 2.5
    assert (working.bands[0].start_m, working.bands[0].end_m) == pytest.approx(
        (0.508, 4.492), abs=0.002
    )
    assert math.dist(band.points[0], band.points[1]) == pytest.approx(
        3.984 * 1000 / drawing.scale, abs=0.05
    )


def test_a_camera_without_a_tripod_is_lettered_and_keeps_no_operators_floor() -> None:
    sheet = level(sheet_of("closet"))  # 0.3 m behind the lens
    answer = fit.fit(sheet)
    short = said("drawing.no_operator_floor", needed=Figure(1.5, "m"))
    assert short in shot_sheet(sheet, answer).words()
    held = shot_sheet(sheet, answer, held=said("fit.by_hand"))
    assert held.operator_m == ()
    assert short not in held.words()
    bare = LightSheet((), None, None, None), PowerSheet(sheet.room, (), (), ())
    for working in (held, PlaceSheet(sheet.room, *bare, held)):
        drawing = drawn(sheet, working)
        texts = [one.text for one in walk(drawing.shapes) if isinstance(one, Text)]
        assert any("hand-held" in one for one in (*texts, drawing.description))


def test_the_wall_behind_holds_the_frame_of_each_lens() -> None:
    sheet = level(sheet_of("parlour"))
    answer = fit.fit(sheet)
    found = background(sheet, answer, 85)
    assert found is not None
    assert found.wall == "A"
    frames = {frame.focal_length_mm: frame.parts_m[0] for frame in found.frames}
    for lens in (50, 85):
        # by hand: the camera looks level at 1.4 m; 5.6 m off the lens the frame is 24.9 / f x 5.6 m
        # wide about x = 2.5
        along = [x for x, _ in frames[lens]]
        assert max(along) - min(along) == pytest.approx(24.9 / lens * 5.6, rel=1e-6)
        assert sum(z for _, z in frames[lens]) / 4 == pytest.approx(1.4)
    assert found.head_m is not None
    assert found.head_m[:2] == pytest.approx((2.5, 1.4))
    drawing = elevation(found, Hand(), 170.0, 72.0)
    assert drawing.height_mm <= 80
    fromstring(svg.render(drawing))


def test_the_lens_asked_for_is_the_one_chosen() -> None:
    answer = fit.fit(sheet_of("parlour"))
    assert chosen_lens(answer, [24, 35, 50], 50) == 50
    assert chosen_lens(answer, [], 50) is None
    assert chosen_lens(answer, [24, 35, 50], 28) in (
        24,
        35,
        50,
    )  # not a lens of the kit: as if none were asked for


def test_a_lead_across_the_walk_is_found() -> None:
    # by hand: the lead runs up x = 2 from 0 to 3; the walk crosses it at y = 1.5
    assert crossings(((2.0, 0.0), (2.0, 3.0)), ((0.0, 1.0), (4.0, 2.0))) == (
        pytest.approx((2.0, 1.5)),
    )
    assert crossings(((2.0, 0.0), (2.0, 3.0)), ((0.0, 4.0), (4.0, 4.0))) == ()
