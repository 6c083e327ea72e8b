"""How light from outdoors reaches a mark: straight through the windows, and by way of every surface
of the room.

Everything is linear in the luminance outdoors, so a room is worked out once, as weights by
direction. What goes by the surfaces is solved backwards, from the mark to the patches (radiosity),
and from there to the directions each patch sees.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.patch_views import gathered, patch_views
from scout.calc.daylight.mark.weights import Weights, joined, of_plane
from scout.calc.daylight.window.beam import beam_hits, nearest_patch
from scout.calc.daylight.window.glazing import Glazing, view_through
from scout.calc.daylight.window.overcast import overcast_through
from scout.calc.daylight.window.pane import Pane, wings_of
from scout.calc.daylight.window.sky_view import SkyView
from scout.calc.geometry import FloatArray, require
from scout.calc.held import MB, held
from scout.calc.radiosity import (
    CLOSED_SINGLE,
    Box,
    Opening,
    at_point_of,
    importances,
)
from scout.errors import OutOfRange
from scout.values import said

SUNS_HELD = 128  # of panes, with where their rays land
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class MarkLight:
    """One mark: what reaches it straight, what comes by the surfaces (None: a reflectance is not
    measured), and the beam's gain.
    """

    at_m: tuple[float, float, float]
    direct: Weights
    reflected: Weights | None
    gain: (
        FloatArray | None
    )  # (patches,) lux at the mark for each lumen of sun that lands on a patch
    normal: tuple[float, float, float] = (
        0.0,
        0.0,
        1.0,
    )  # unit, the way the plane at the mark looks


@dataclass(frozen=True)
class RoomLight:
    """A room worked out for its marks; `patch_centre_m` and `patch_flat` place the gains."""

    marks: tuple[MarkLight, ...]
    patch_centre_m: FloatArray | None
    patch_flat: NDArray[np.intp] | None  # as of Patches
    glazing: tuple[Glazing, ...]
    plan_m: tuple[tuple[float, float], ...]
    height_m: float
    boxes: tuple[Box, ...] = ()

    @cached_property
    def _patches(self) -> tuple[bytes, bytes] | None:
        if self.patch_centre_m is None or self.patch_flat is None:
            return None
        return self.patch_centre_m.tobytes(), self.patch_flat.tobytes()

    def landed(
        self, number: int, g_deg: FloatArray, h_deg: FloatArray
    ) -> tuple[FloatArray, NDArray[np.intp] | None]:
        """(t, k) the glass that each ray through a pane stands for, and the patch it lands on, where
        there are patches; as beam_hits.
        """
        return _landed(
            self.plan_m,
            self.height_m,
            self.glazing[number].pane,
            self.boxes,
            self._patches,
            g_deg.tobytes(),
            h_deg.tobytes(),
        )


@held(
    SUNS_HELD, 2 * MB
)  # all marks and planes, and a room at both its bounds, ask for the same suns
def _landed(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    pane: Pane,
    boxes: tuple[Box, ...],
    patches: tuple[bytes, bytes] | None,
    g_deg: bytes,
    h_deg: bytes,
) -> tuple[FloatArray, NDArray[np.intp] | None]:
    hits = beam_hits(
        plan_m,
        height_m,
        pane,
        np.frombuffer(g_deg),
        np.frombuffer(h_deg),
        wings=wings_of(plan_m, pane.wall, height_m),
        boxes=boxes,
    )
    if patches is None:
        return hits.area_m2, None
    centre, flat = np.frombuffer(patches[0]).reshape(-1, 3), np.frombuffer(patches[1], np.intp)
    return hits.area_m2, nearest_patch(centre, flat, hits.point_m, hits.surface)


@held(32, 12 * MB)  # of a large room six megabytes each, and asked for again soon or never
def room_light(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    marks_m: tuple[tuple[float, float, float], ...],
    reflectance: tuple[float, ...] | None = None,
    doors: tuple[Opening, ...] = (),
    door_reflectance: float = 0.4,
    normals: tuple[tuple[float, float, float], ...] | None = None,
    boxes: tuple[Box, ...] = (),
    box_reflectance: tuple[float, ...] = (),
) -> RoomLight:
    """Weights of the outdoors at each mark, for a level plane or one that looks another way.

    plan_m, height_m: the room, clockwise [m]
    marks_m:          inside the room [m]
    normals:          the way the plane at each mark looks, any length; None for level planes
    reflectance:      of walls A, B ..., floor, ceiling, 0 to 0.999; None leaves out the light
        by way of the surfaces
    doors:            as the radiosity cuts them, all of door_reflectance
    boxes:            what stands in the room, and what each of them reflects, 0 to 0.999
    Returns:          RoomLight, held for the same numbers
    Raises:           OutOfRange, naming the argument
    Source:           sky_view; radiosity over patches of 0.5 m (larger in large rooms); glass
        reflects inside as its Fresnel
                      curve says, a covering adds nothing to that
    Limits:           diffuse surfaces; within 1 % of a path tracer in a room of
        4 x 5 x 3 m (see the tests)
    """
    require("height_m", height_m, above=0)
    plan = np.array(plan_m)
    if reflectance is not None and len(reflectance) != len(plan_m) + 2:
        raise OutOfRange(
            "reflectance",
            len(reflectance),
            said("refusal.light.each_surface", walls=len(plan_m)),
        )
    at = np.array(marks_m, dtype=np.float64).reshape(-1, 3)
    ways = _unit(normals, len(at))
    seen = [_from_marks(plan_m, height_m, glass.bare, marks_m, normals, boxes) for glass in glazing]
    direct = [
        joined([of_plane(view, k, plan, glass) for view, glass in zip(seen, glazing, strict=True)])
        for k in range(len(at))
    ]
    if reflectance is None:
        bare = tuple(
            MarkLight(mark, weights, None, None, _triple(way))
            for mark, weights, way in zip(marks_m, direct, ways, strict=True)
        )
        return RoomLight(bare, None, None, glazing, plan_m, height_m, boxes)
    ready = patch_views(plan_m, height_m, glazing, doors, boxes)
    patches, area = ready.room.patches, ready.room.patches.area_m2
    rho = ready.reflectances(reflectance, door_reflectance, box_reflectance)
    view = np.zeros((len(area), len(at)))
    for place in dict.fromkeys(marks_m):
        planes = [k for k, mark in enumerate(marks_m) if mark == place]
        view[:, planes] = at_point_of(patches, place, ways[planes]).T
    # lux at each mark for each lux on a patch
    carried = importances(
        ready.room.factors,
        area,
        rho[None, :, None],
        view,
        CLOSED_SINGLE,
        ready.room.symmetric,
    )[0, :, :, 0]
    found = []
    for mark, weights, way, sent in zip(marks_m, direct, ways, carried * rho, strict=True):
        reflected = joined(
            [
                gathered(pane, sent, plan, glass)
                for pane, glass in zip(ready.views, glazing, strict=True)
            ]
        )
        found.append(MarkLight(mark, weights, reflected, sent / area, _triple(way)))
    return RoomLight(tuple(found), patches.centre_m, patches.flat, glazing, plan_m, height_m, boxes)


def straight_by_overcast(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    marks_m: tuple[tuple[float, float, float], ...],
    normals: tuple[tuple[float, float, float], ...],
    boxes: tuple[Box, ...],
    ground_reflectance: float,
) -> FloatArray:
    """(k,) of `room_light`, what comes straight to each mark for each lux of an overcast sky
    outdoors, and nothing besides; arguments and Raises as there.
    """
    total = np.zeros(len(marks_m))
    for glass in glazing:
        view = _from_marks(plan_m, height_m, glass.bare, marks_m, normals, boxes)
        total += glass.passes * overcast_through(view, ground_reflectance, glass)
    return total


@held(64, 8 * MB)  # the same at every reflectance that a room may have
def _from_marks(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glass: Glazing,
    marks_m: tuple[tuple[float, float, float], ...],
    normals: tuple[tuple[float, float, float], ...] | None,
    boxes: tuple[Box, ...],
) -> SkyView:
    """What planes at the marks see of the outdoors through a pane."""
    at = np.array(marks_m, dtype=np.float64).reshape(-1, 3)
    wing = wings_of(plan_m, glass.pane.wall, height_m)
    broken = bool(wing) or glass.skyline is not None or bool(boxes)
    # a plane that is not level may cut a window, where the view has a corner
    panels = 8 if broken else 1 if normals is None else 4
    return view_through(
        np.array(plan_m), glass, wing, at, _unit(normals, len(at)), 16, 8, panels, boxes
    )


def _unit(normals: tuple[tuple[float, float, float], ...] | None, count: int) -> FloatArray:
    if normals is None:
        return np.tile(UP, (count, 1))
    ways = require("normals", normals).reshape(-1, 3)
    length = np.linalg.norm(ways, axis=1, keepdims=True)
    if len(ways) != count or np.any(length <= 0):
        raise OutOfRange("normals", normals, said("refusal.light.each_mark", marks=count))
    return np.asarray(ways / length)


def _triple(way: FloatArray) -> tuple[float, float, float]:
    return float(way[0]), float(way[1]), float(way[2])
