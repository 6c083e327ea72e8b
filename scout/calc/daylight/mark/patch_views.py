"""What the patches of a room see of the outdoors through every window, ready to be summed for any
mark, colour and hour.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.weights import Weights, of_pane
from scout.calc.daylight.outside.sky import clear_spread
from scout.calc.daylight.window.frame import BOXES, added, at_boxes, box_of
from scout.calc.daylight.window.glass import diffuse_reflectance
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg, view_through
from scout.calc.daylight.window.overcast import overcast_through
from scout.calc.daylight.window.pane import wings_of
from scout.calc.daylight.window.sky_view import SkyView, faces_pane
from scout.calc.geometry import FloatArray, plan_area_m2
from scout.calc.held import MB, held
from scout.calc.radiosity import Box, Enclosure, Opening, enclosure

PATCH_M, MOST_PATCHES = 0.5, 650.0


@dataclass(frozen=True)
class PatchViews:
    """A room's patches, and what they see of the outdoors through every pane."""

    room: Enclosure
    glazing: tuple[Glazing, ...]
    doors: int
    views: tuple[SortedView, ...]

    def reflectances(
        self,
        of_surfaces: tuple[float, ...],
        of_doors: float,
        of_boxes: tuple[float, ...] = (),
    ) -> FloatArray:
        """(p,) what each patch reflects: walls, floor, ceiling and boxes as given, panes by their
        glass.
        """
        of_openings = [
            diffuse_reflectance(glass.transmittance, glass.panes) for glass in self.glazing
        ] + [of_doors] * self.doors
        return np.asarray(
            np.minimum(
                np.array([*of_surfaces, *of_openings, *of_boxes])[self.room.patches.surface], 0.999
            )
        )

    def lit_by_overcast(self, ground_reflectance: float) -> FloatArray:
        """(p,) light that falls straight on each patch for each lux of an overcast sky outdoors."""
        total = np.zeros(len(self.room.patches.area_m2))
        for view, glass in zip(self.views, self.glazing, strict=True):
            total += overcast_through(view, ground_reflectance, glass) * glass.passes
        return total


def patch_views(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    doors: tuple[Opening, ...] = (),
    boxes: tuple[Box, ...] = (),
) -> PatchViews:
    """The part of a room's light that neither marks nor colours change; arguments and Raises as for
    room_light.
    """
    room = _room(plan_m, height_m, glazing, doors, boxes)
    return PatchViews(room, glazing, len(doors), _views(plan_m, height_m, glazing, doors, boxes))


def _room(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    doors: tuple[Opening, ...],
    boxes: tuple[Box, ...],
) -> Enclosure:
    openings = (*(_opening(glass) for glass in glazing), *doors)
    return enclosure(plan_m, height_m, openings, _patch_m(np.array(plan_m), height_m), boxes)


@held(32, 16 * MB, kept_bytes=8 * MB)  # sorted, a room's views take half a megabyte
def _views(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    doors: tuple[Opening, ...],
    boxes: tuple[Box, ...],
) -> tuple[SortedView, ...]:
    """What the patches see through each pane: looked at pane by pane, and only what is sorted kept."""
    plan, patches = np.array(plan_m), _room(plan_m, height_m, glazing, doors, boxes).patches
    points, share = patches.drawn_in(2, gauss=True)
    at, inwards = points.reshape(-1, 3), np.repeat(patches.normal, points.shape[1], axis=0)
    found = []
    for glass in glazing:
        wing = wings_of(plan_m, glass.pane.wall, height_m)
        panels = 3 if wing or glass.skyline is not None else 1
        some = np.flatnonzero(faces_pane(plan, glass.pane, at, inwards))
        view = view_through(plan, glass, wing, at[some], inwards[some], 8, 4, panels, boxes)
        found.append(sorted_view(view, some, share, plan_bearing_deg(plan, glass.pane.wall)))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class SortedView:
    """What the patches (p) of a room see through a pane, as a SkyView, the sky's part sorted into
    boxes of bearing and elevation: most patches see the sky in a few of them. It depends on the view
    alone, so every mark, colour and hour has the same.

    box, patch:    (n,) which box and which patch a weight belongs to
    sky:           (n,) the weight
    turned_deg, elevation_deg: (n,) the means, by weight, of the directions it was summed over
    by_overcast:   (p,) of the sky's weights, each by how bright an overcast sky is there
    """

    box: NDArray[np.int16]
    patch: NDArray[np.int32]
    sky: FloatArray
    turned_deg: FloatArray
    elevation_deg: FloatArray
    by_overcast: FloatArray
    ground: FloatArray
    obstruction: FloatArray
    bare: FloatArray
    up_facade: FloatArray | None
    around: FloatArray | None  # (p, 5)

    def summed(self, sent: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(b,) bearings, elevations and weights of the sky for what has `sent` (p,) of each patch."""
        sky = self.sky * sent[self.patch]
        return at_boxes(added(self.box, sky), added(self.box, sky * self.elevation_deg))

    def overcast(self) -> FloatArray:
        """As of a SkyView."""
        return self.by_overcast

    def clear(
        self, facing_deg: float, sun_elevation_deg: float, sun_azimuth_deg: float
    ) -> FloatArray:
        """As of a SkyView. Limits: each box as its middle: within 0.3 % of the light that falls in."""
        spread = clear_spread(
            self.elevation_deg, self.turned_deg + facing_deg, sun_elevation_deg, sun_azimuth_deg
        )
        return added(self.patch, self.sky * spread, len(self.ground))


def sorted_view(
    view: SkyView, points: NDArray[np.intp], share: FloatArray, plan_bearing_deg: float
) -> SortedView:
    """A view of some of the points, so many (p, k) a patch with their shares of it, patch by patch
    and sorted.

    plan_bearing_deg: of the pane's wall: boxes are of bearings in the plan
    """
    patch, of_point = points // share.shape[1], share.ravel()[points]

    def of_patches(per_point: FloatArray) -> FloatArray:
        return added(patch, per_point * of_point, len(share))

    sees = np.flatnonzero(view.sky.any(axis=(1, 2)))  # of many walls few look out of one window
    high = view.elevation_deg[sees]
    box = box_of(view.turned_deg[sees] + plan_bearing_deg, high)
    sky = view.sky[sees] * of_point[sees, None, None]
    seeing, row = np.unique(patch[sees], return_inverse=True)
    pair, pairs = (row[:, None, None] * BOXES + box).ravel(), len(seeing) * BOXES
    weight = added(pair, sky, pairs)
    found = np.flatnonzero(weight)
    weight, heights = weight[found], added(pair, sky * high, pairs)[found]
    bearings = added(pair, sky * view.turned_deg[sees, :, None], pairs)[found]
    return SortedView(
        (found % BOXES).astype(np.int16),
        seeing[found // BOXES].astype(np.int32),
        weight,
        bearings / weight,
        heights / weight,
        of_patches(view.overcast()),
        of_patches(view.ground),
        of_patches(view.obstruction),
        of_patches(view.bare),
        None if view.up_facade is None else of_patches(view.up_facade),
        None
        if view.around is None
        else np.stack([of_patches(face) for face in view.around.T], axis=1),
    )


def gathered(view: SortedView, sent: FloatArray, plan: FloatArray, glass: Glazing) -> Weights:
    """What all patches see, each by its weight for the mark."""
    p = glass.passes
    bearing, height, sky = view.summed(sent)
    return of_pane(
        plan,
        glass,
        bearing,
        height,
        p * sky,
        p * float(view.ground @ sent),
        p * float(view.obstruction @ sent),
        float(view.bare @ sent),
        0.0 if view.up_facade is None else p * float(view.up_facade @ sent),
        np.zeros(5) if view.around is None else p * (sent @ view.around),
    )


def _opening(glass: Glazing) -> Opening:
    pane = glass.pane
    return glass.id, pane.wall, pane.offset_m, pane.sill_m, pane.width_m, pane.height_m


def _patch_m(plan: FloatArray, height_m: float) -> float:
    around = float(np.sum(np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)))
    area = 2.0 * plan_area_m2(plan) + height_m * around
    return round(max(PATCH_M, float(np.sqrt(area / MOST_PATCHES))), 3)
