"""Lamps and the camera in bare windows after dark and in gloss walls: when it is told, and what ends it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from typing import Any

import numpy as np
from scipy.optimize import minimize

from scout.assess.answers import Finding
from scout.assess.fit.frame.mirrored import _faces, dark_from
from scout.assess.setup import Setup
from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.shadow.mirrored import shown
from scout.calc.geometry import FloatArray, rectangle_m
from scout.records.sheet import Furniture
from scout.values import Name, Word
from scout.words import full, line
from tests.assess.fit.test_findings import found_for
from tests.assess.fit.test_fit import LIGHT, sheet

LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.13, "timezone": "Europe/London"}
# By hand: the lens stands 5.7 m before wall A, the lamp 4.5 m: it is seen 57/102 of the way to its
# image, at x 2.5 + 1.5 x .559 = 3.34 and 1.74 m up, in the window (1.5 to 3.5, 0.9 to 2.4); 35 mm see
# .356 x 5.7 = 2.0 m to either side there, and the lamp itself stands far out of frame.
LAMP = {**LIGHT, "soft_width_m": 0.0, "head_m": 0.1, "at_m": [4.0, 2.0, 2.0]}
NIGHT = {"from_time": time(20, 0), "until_time": time(23, 0)}


def mirrors(scene: dict[str, Any] = NIGHT, **changes: Any) -> list[Finding]:
    given = sheet(
        **{
            "location": LONDON,
            "kit__lights": [LAMP],
            "kit__camera__focal_lengths_mm": [35],
            "marks__camera": [2.5, 0.8, 1.25],
            **changes,
        }
    )
    return found_for(given, framing="head_and_shoulders", **scene).get("space.mirrored", [])


def shows(found: list[Finding]) -> list[str]:
    return [str(one) for one in found[0].figures()["shows"]] if found else []


def test_a_lamp_in_a_bare_window_after_dark() -> None:
    (one,) = mirrors()
    assert (one.level, [str(name) for name in one.about], shows([one])) == ("care", ["W1"], ["key"])
    assert one.acts[0].code == "cover.windows"
    assert line(one).startswith("Mirrored in W1: key, from ")
    assert full(one).startswith("Mirrored in W1, in frame: key; outside it is dark from ")
    # the act done: what hangs before the glass shows no room
    window = {"id": "W1", "wall": "A", "offset_m": 1.5, "sill_m": 0.9, "width_m": 2.0}
    for covering, seen in (("none", True), ("sheer", False), ("blind", False), ("blackout", False)):
        hung = [{**window, "height_m": 1.5, "covering": covering}]
        assert bool(mirrors(room__windows=hung)) is seen


def test_the_borders_of_window_and_frame() -> None:
    # by hand: the head is 0.1 m broad, so its nearer end is seen 0.05 x .559 = 0.028 m further in
    for right, seen in ((3.30, False), (3.32, True)):
        window = {"id": "W1", "wall": "A", "offset_m": 1.5, "sill_m": 0.9, "height_m": 1.5}
        assert bool(mirrors(room__windows=[{**window, "width_m": right - 1.5}])) is seen
    # by hand: of the head 1.95 to 2.05 m up, 1.25 + .70 x .559 = 1.641 to 1.697 m, its middle at
    # (3.338, 1.669)
    for left, width, sill, height, seen in (
        (1.5, 2.0, 0.9, 0.73, False),
        (1.5, 2.0, 0.9, 0.75, True),
        (1.5, 2.0, 1.705, 0.5, False),
        (1.5, 2.0, 1.69, 0.5, True),
        (3.33, 0.02, 1.66, 0.02, True),
    ):
        size = {"offset_m": left, "width_m": width, "sill_m": sill, "height_m": height}
        assert bool(mirrors(room__windows=[{"id": "W1", "wall": "A", **size}])) is seen
    # by hand: a head's end at x 3.31 is .81 to the side 5.7 m ahead: 12.45 x 5.7 / .81 = 87.6 mm
    for focal, seen in ((80, True), (95, False)):
        high = {"marks__camera": [2.5, 0.8, 1.7], "marks__subject": [2.5, 3.0, 1.75]}
        high |= {"kit__camera__focal_lengths_mm": [focal]}
        found = mirrors({**NIGHT, "focal_length_mm": float(focal)}, **high)
        assert ("key" in shows(found)) is seen


def test_the_sun_has_to_be_down_within_the_hours() -> None:
    # almanac: London, 21 June 2026, sunset 21:21 BST (from memory)
    def until(hour: int, minute: int) -> list[Finding]:
        return mirrors({"from_time": time(18, 0), "until_time": time(hour, minute)})

    assert until(21, 18) == []
    (one,) = until(21, 25)
    dark = one.figures()["dark"]
    assert (dark.hour, dark.minute) == (21, 25)
    # sunrise 4:43 BST: hours that begin in the dark
    early = mirrors({"from_time": time(4, 30), "until_time": time(9, 0)})
    assert early[0].figures()["dark"].minute == 30
    assert mirrors({"from_time": time(4, 50), "until_time": time(9, 0)}) == []
    assert mirrors({}) == []  # no hours, nothing to be dark
    assert mirrors(location=None) == []


def test_a_lens_sees_itself_where_nobody_stands_before_it() -> None:
    # by hand: the foot of its perpendicular is right behind the face; 0.6 m to the side it is not
    dark = {"kit__lights": [{**LAMP, "at_m": [0.6, 5.9, 2.0]}]}
    assert shows(mirrors(**dark)) == []
    aside = {"marks__camera": [2.9, 0.8, 1.25], "marks__subject": [2.3, 3.0, 1.2]}
    assert shows(mirrors(**dark, **aside)) == ["the camera with its crew"]
    # a camera at 2.9 that looks so far aside that the foot is out of its frame sees none of itself
    away = {"marks__camera": [2.9, 0.8, 1.25], "marks__subject": [0.9, 3.0, 1.2]}
    assert shows(mirrors(**dark, **away)) == []


def test_gloss_shows_lamps_that_look_at_it_by_day_too() -> None:
    def gloss(finish: str, **changes: Any) -> list[Finding]:
        scene = {"from_time": time(12, 0), "until_time": time(13, 0)}
        surfaces = {"A": {"finish": finish, "light_reflectance": 0.5}}
        return mirrors(scene, room__surfaces=surfaces, room__windows=[], **changes)

    lit = {"kit__lights": [{**LAMP, "aim_m": [2.5, 3.0, 1.2]}]}  # towards the wall
    (one,) = gloss("gloss", **lit)
    assert one.about == (Word("surface", "A"),)
    assert (shows([one]), one.figures()["dark"]) == (["key"], None)
    assert one.acts[0].code == "flag.gloss"
    assert line(one) == "Mirrored in wall A: key"
    assert gloss("satin", **lit) == []
    # its back: the lens does not see the light of a lamp that is turned away from the wall
    assert gloss("gloss", kit__lights=[{**LAMP, "aim_m": [2.5, 0.5, 1.2]}]) == []
    # property: where a window is in the wall, glass is and no paint
    window = {"id": "W1", "wall": "A", "offset_m": 1.5, "sill_m": 0.9}
    scene = {"from_time": time(12, 0), "until_time": time(13, 0)}
    surfaces = {"A": {"finish": "gloss", "light_reflectance": 0.5}}
    holed = [{**window, "width_m": 2.0, "height_m": 1.5}]
    assert mirrors(scene, room__surfaces=surfaces, room__windows=holed, **lit) == []
    # nor where a door is: by hand, the head is seen from x 3.31 to 3.37, 1.64 to 1.70 m up
    for left, high, seen in ((3.2, 2.0, False), (3.2, 1.6, True), (3.5, 2.0, True)):
        door = {"id": "D9", "wall": "A", "offset_m": left, "width_m": 0.4, "height_m": high}
        assert bool(gloss("gloss", room__doors=[door], **lit)) is seen


# by hand: as the window above, hung on wall A with its face 0.1 m before it: 5.6 m and 4.4 m off, seen
# 56/100 of the way to the image, at x 2.5 + 1.5 x .56 = 3.34 and 1.25 + .75 x .56 = 1.67 m up
HUNG = {"id": "mirror", "at_m": [3.34, 6.45], "width_m": 0.4, "depth_m": 0.1}
HUNG |= {"clear_below_m": 1.4, "height_m": 1.9, "mirrors": True}
NOON = {"from_time": time(12, 0), "until_time": time(13, 0)}


def hung(**changes: Any) -> list[Finding]:
    return mirrors(NOON, room__furniture=[{**HUNG, **changes}], room__windows=[])


def test_a_piece_that_mirrors_shows_lamps_by_day() -> None:
    (one,) = hung()
    assert (one.level, one.about, shows([one])) == ("care", (Name("mirror"),), ["key"])
    assert (one.acts[0].code, one.figures()["dark"]) == ("cover.pieces", None)
    assert line(one) == "Mirrored in mirror: key"
    assert "furniture.mirror.mirrors" in one.rests_on
    # property: what is wood, and what nobody said to mirror, shows nothing; nor what has no height
    for off in ({"mirrors": False}, {"mirrors": None}, {"height_m": None, "clear_below_m": None}):
        assert hung(**off) == []
    # its edges; the head is 0.1 m broad, so that its ends are seen 0.05 x .56 = 0.028 m beyond
    for change, seen in (
        ({"at_m": [3.34 - 0.2 - 0.027, 6.45]}, True),
        ({"at_m": [3.34 - 0.2 - 0.029, 6.45]}, False),
        ({"height_m": 1.67 - 0.027}, True),
        ({"height_m": 1.67 - 0.029}, False),
        ({"clear_below_m": 1.67 + 0.027}, True),
        ({"clear_below_m": 1.67 + 0.029}, False),
        # turned by 90 degrees it stands square off the wall, its back to both
        ({"turn_deg": 90, "at_m": [3.34, 6.3]}, False),
        # and so drawn it hangs as before: the broader side mirrors, whichever it was called
        ({"turn_deg": 90, "width_m": 0.1, "depth_m": 0.4}, True),
    ):
        assert bool(hung(**change)) is seen, change
    # what stands before it hides it
    shelf = {"id": "shelf", "at_m": [3.34, 6.2], "width_m": 0.5, "depth_m": 0.2, "height_m": 2.2}
    assert mirrors(NOON, room__furniture=[HUNG, shelf], room__windows=[]) == []
    # several are one act
    tv = {**HUNG, "id": "tv", "clear_below_m": 0.0, "height_m": 1.35, "at_m": [2.5, 6.45]}
    aside = {"marks__camera": [2.9, 0.8, 1.25], "marks__subject": [2.6, 3.0, 1.2]}
    pair = mirrors(NOON, room__furniture=[HUNG, {**tv, "width_m": 0.9}], room__windows=[], **aside)
    assert [str(name) for name in pair[0].about] == ["mirror", "tv"]
    assert shows(pair) == ["key", "the camera with its crew"]


def test_property_a_piece_mirrors_where_light_takes_the_shortest_way() -> None:
    # Fermat's principle: of all ways by the mirror's plane light takes the shortest, which is looked
    # for among them; no image is asked for
    rng = np.random.default_rng(7)
    space, seen = Space(rectangle_m(6.0, 6.0), 3.0), []
    for _ in range(300):
        low, turn = rng.uniform(0.2, 1.2), float(rng.uniform(0, 360))
        size = {"width_m": float(rng.uniform(1.0, 2.4)), "depth_m": 0.05, "turn_deg": turn}
        at = {"at_m": (3.0, 3.0), "clear_below_m": float(low), "height_m": float(low + 1.0)}
        piece = Furniture.read({"id": "m", **size, **at, "mirrors": True})
        lens, thing = rng.uniform((0.5, 0.5, 0.5), (5.5, 5.5, 2.0), (2, 3))
        if min(np.hypot(*(one - 3.0)[:2]) for one in (lens, thing)) < 1.3:
            continue
        view = View(tuple(lens), (3.0, 3.0, float(low + 0.5)), 36.0, 36.0, 10.0)
        block = Block("m", np.asarray(piece.corners_m), piece.height_m, low)
        room = replace(space, blocks=(block,))
        found = [bool(shown(view, room, one, (0.1, 0.1, 0.2), thing)[0]) for one in _faces(piece)]
        a, b, c, d = (np.array(corner) for corner in piece.corners_m or ())
        assert [shortest_on(*face, low, lens, thing) for face in ((a, b), (c, d))] == found
        seen.append(any(found))
    assert 15 <= sum(seen) <= len(seen) - 15


def shortest_on(
    left: FloatArray, right: FloatArray, low: float, lens: FloatArray, thing: FloatArray
) -> bool:
    """Whether the shortest way by the plane over a side, from corner to corner of a piece, its other
    side behind it, meets it on the side, 1 m high.
    """
    across = np.append(right - left, 0.0)
    length = float(np.linalg.norm(across))
    across, foot = across / length, np.append(left, 0.0)
    before = np.array([-across[1], across[0], 0.0])  # the corners run clockwise
    if min((lens - foot) @ before, (thing - foot) @ before) <= 0.0:
        return False
    axes = np.array([across, [0.0, 0.0, 1.0]])

    def long(at: FloatArray) -> float:
        met = foot + at @ axes
        return float(np.linalg.norm(met - lens) + np.linalg.norm(thing - met))

    at = minimize(long, axes @ ((lens + thing) / 2.0 - foot), tol=1e-7).x
    return bool(0.0 < at[0] < length and low < at[1] < low + 1.0)


def test_the_dark_is_looked_for_to_the_end_of_the_hours() -> None:
    # almanac: as above; the hours end between two steps
    given = sheet(location=LONDON)
    setup = Setup(given, found_day(), from_time=time(21, 19), until_time=time(21, 23))
    assert dark_from(setup) is not None
    before = Setup(given, found_day(), from_time=time(21, 14), until_time=time(21, 18))
    assert dark_from(before) is None


def found_day() -> date:
    return date(2026, 6, 21)
