"""White is hung once for all lights, out of frame, off doors, and no more of it than a crew hangs."""

from __future__ import annotations

import pytest

from scout.assess.answers import Cover, RemedyAnswer
from scout.assess.bounce.bounce import bounce
from scout.assess.bounce.remedies import remedies
from scout.assess.bounce.room import LitRoom, lit_room
from scout.assess.bounce.surround import Aimed, aimed, sides_of, surround
from scout.assess.stage.views import scene_lens
from scout.calc.bounce.shift import RISKS, shifts
from scout.calc.fit.lens.camera import View
from scout.records import read_sheet
from scout.records.sheet import Marks, RoomSheet
from scout.values import Word
from tests.assess.bounce.test_bounce import FLOOR_CEILING, LED, at, flat, sheet, spectrum
from tests.calc.bounce.charts import GREEN, RED

SHADOW = Word("side", "shadow")
# 4 by 5 m, walls and floor strong colours: both lights are coloured by several of them
STRONG = {
    "A": flat(0.6),
    "B": spectrum(GREEN),
    "C": flat(0.6),
    "D": spectrum(RED),
    "floor": spectrum(RED),
    "ceiling": flat(0.8),
}
LIGHTS = [LED, {**LED, "id": "fill"}]
PLACES = at((1.0, 1.5, 1.9)) | at((3.2, 1.2, 1.6), light="fill")
MARKS = {"subject": [2.0, 3.6, 1.2], "subject_normal": [0, -1, 0], "camera": [2.0, 1.2, 1.2]}
CAMERA = {"sensor_width_mm": 24.9, "sensor_height_mm": 14.0, "focal_lengths_mm": [24, 35]}


def a_room(surfaces: dict[str, object] = STRONG, **room: object) -> RoomSheet:
    return sheet(surfaces, dims=(4, 5, 2.6), marks=MARKS, lights=LIGHTS, **room)


def whites(made: RoomSheet, lens: View | None = None) -> list[RemedyAnswer]:
    rows = remedies(made, PLACES, (), surround(made, PLACES), lens=lens)
    return [row for row in rows if row.cover is not None]


def covers(rows: list[RemedyAnswer]) -> list[Cover]:
    return list(dict.fromkeys(row.cover for row in rows if row.cover is not None))


def test_one_set_of_cloths_serves_all_the_lights() -> None:
    made = a_room()
    rows = whites(made)
    hung = covers(rows)
    # common practice: a crew hangs a sheet of 2 by 3 m or two side by side, on two surfaces
    assert 1 <= len(hung) <= 2
    assert len({cover.surface for cover in hung}) == len(hung)
    for cover in hung:
        sides = sorted((cover.to_m - cover.from_m, cover.high_m - cover.low_m))
        assert sides[0] <= 3.0 + 1e-6
        assert sides[1] <= 4.0 + 1e-6
        # one cloth is one act, the same with every light that it serves
        assert len({row.action.values for row in rows if row.cover == cover}) == 1
    assert {row.light for row in rows} == {"key", "fill"}
    # property: a room that is white there, and only there, gives the figures of every row
    lit = lit_room(made)
    assert isinstance(lit, LitRoom)
    patches, reflectance = lit.room.patches, lit.reflectance[0].copy()
    for cover in hung:
        # by hand: A runs from x = 0 up, B from y = 5 down, C from x = 4 down, D from y = 0 up
        x, y, z = patches.centre_m.T
        along = {"A": x, "B": 5 - y, "C": 4 - x, "D": y}.get(cover.surface, x)
        up = z if cover.surface in "ABCD" else y
        under = patches.of(cover.surface) & (along > cover.from_m) & (along < cover.to_m)
        reflectance[under & (up > cover.low_m) & (up < cover.high_m)] = 0.85
    kit = {light.id: light for light in made.kit.lights or ()}  # type: ignore[union-attr]
    of_shadow = [row for row in rows if row.target == SHADOW]
    assert of_shadow
    for row in of_shadow:
        there = aimed(kit[row.light], made, PLACES, lit)
        assert isinstance(there, Aimed)
        light = there.lamp.colour.spectrum
        (cast,) = shifts(light, (light * sides_of(there, lit, reflectance).shadow)[None])
        assert row.delta_e_after == pytest.approx(cast.delta_e, abs=0.01)
        assert RISKS.index(row.risk_after) <= RISKS.index(row.risk_before)


def test_nothing_hangs_in_the_frame() -> None:
    # one green wall behind the subject; a lens of 85 mm sees its middle
    made = a_room({**dict.fromkeys("BCD", flat(0.6)), "A": spectrum(GREEN), **FLOOR_CEILING})
    lens = View((2.0, 1.2, 1.2), (2.0, 3.6, 1.2), 24.9, 14.0, 85.0)
    (free,), (kept,) = covers(whites(made)), covers(whites(made, lens))
    assert free.surface == kept.surface == "A"
    # by hand: at 3.8 m it holds 3.8 * 24.9 / 170 = 0.557 m to each side of x = 2 and
    # 3.8 * 14 / 170 = 0.313 m over and under 1.2 m
    aside = kept.to_m <= 2 - 0.557 or kept.from_m >= 2 + 0.557
    assert aside or kept.high_m <= 1.2 - 0.313 or kept.low_m >= 1.2 + 0.313
    assert free.from_m < 2 < free.to_m
    assert free.low_m < 1.2 < free.high_m


def test_nothing_hangs_over_a_socket_nor_lies_where_somebody_walks() -> None:
    green = {**dict.fromkeys("BCD", flat(0.6)), "A": spectrum(GREEN), **FLOOR_CEILING}
    (free,) = covers(whites(a_room(green)))
    low, high = free.low_m, free.high_m
    for along, up in ((2.0, (low + high) / 2), (free.from_m + 0.02, low + 0.02)):
        socket = {"id": "P", "wall": "A", "offset_m": along, "height_m": up}
        (kept,) = covers(whites(a_room(green, outlets=[socket])))
        assert not (kept.from_m < along < kept.to_m and kept.low_m < up < kept.high_m)
    # at a height that nobody measured it may be anywhere over its place
    for cover in covers(whites(a_room(green, outlets=[{**socket, "height_m": None}]))):
        assert not cover.from_m < along < cover.to_m
    # a red floor alone: the cloth lies off the walk, 0.45 m to either side of it (calc.fit.floor)
    red = {**dict.fromkeys("ABCD", flat(0.6)), "floor": spectrum(RED), "ceiling": flat(0.8)}
    (free,) = covers(whites(a_room(red)))
    across = (free.low_m + free.high_m) / 2
    walked = a_room(red).model_copy(
        update={"marks": Marks.read({**MARKS, "path": [[0.2, across, 1.5], [3.8, across, 1.5]]})}
    )
    for cover in covers(whites(walked)):
        assert cover.high_m <= across - 0.4 or cover.low_m >= across + 0.4


def test_nothing_hangs_over_a_door() -> None:
    # property: where each wall has a door in its middle every cloth on a wall lies beside it
    doors = [
        {"id": f"D{wall}", "wall": wall, "offset_m": 1.5, "width_m": 1.0, "height_m": 2.1}
        for wall in "ABCD"
    ]
    for cover in covers(whites(a_room(doors=doors))):
        if cover.surface in "ABCD":
            beside = cover.to_m <= 1.5 + 1e-6 or cover.from_m >= 2.5 - 1e-6
            assert beside or cover.low_m >= 2.1 - 1e-6


def test_the_smallest_that_does_is_taken() -> None:
    # property: a faint cast over a narrow stretch wants one sheet of 2 by 3 m, not two
    faint = {**dict.fromkeys("ABC", flat(0.7)), "D": {"colour": {"srgb": "#c4d2c0"}}}
    made = sheet(
        faint | {"floor": flat(0.4), "ceiling": flat(0.8)},
        dims=(4, 5, 2.6),
        marks={"subject": [0.6, 2.5, 1.2], "subject_normal": [1, 0, 0]},
    )
    lights = at((2.5, 2.5, 1.2))
    rows = remedies(made, lights, bounce(made, lights), surround(made, lights))
    (cover,) = covers([row for row in rows if row.cover is not None])
    assert cover.surface == "D"
    assert (cover.to_m - cover.from_m) * (cover.high_m - cover.low_m) <= 6.0 + 1e-6


def test_the_lens_is_the_widest_of_the_scenes() -> None:
    made = a_room()
    assert scene_lens(made, (35.0,)) is None  # no camera in the kit
    given = read_sheet(made.plain() | {"kit": {"camera": CAMERA}})
    assert scene_lens(given, ()) is None
    lens = scene_lens(given, (50.0, 35.0))
    assert lens is not None
    assert (lens.focal_length_mm, lens.at_m) == (35.0, (2.0, 1.2, 1.2))
