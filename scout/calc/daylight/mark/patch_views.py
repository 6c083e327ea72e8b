"""What the patches of a room see of the outdoors through every window, ready to be summed for any
mark, colour and hour.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.weights import Weights, of_pane
from scout.calc.daylight.window.frame import BOXES, added, at_boxes, box_of
from scout.calc.daylight.window.glass import diffuse_reflectance
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg, view_through
from scout.calc.daylight.window.overcast import overcast_through
from scout.calc.daylight.window.pane import wings_of
from scout.calc.daylight.window.sky_view import SkyView, faces_pane
from scout.calc.geometry import FloatArray, plan_area_m2
from scout.calc.held import held
from scout.calc.radiosity import Box, Enclosure, Opening, enclosure

PATCH_M, MOST_PATCHES = 0.5, 650.0


@dataclass(frozen=True)
class PatchViews:
    """A room's patches, and what the points of each see of the outdoors through every pane: a view
    and the points that it is of, patch by patch; the others see nothing of that pane.
    """

    room: Enclosure
    glazing: tuple[Glazing, ...]
    doors: int
    share: FloatArray  # (p, k) of each point in its patch
    points: tuple[NDArray[np.intp], ...]
    views: tuple[SkyView, ...]

    @cached_property
    def sorted_views(self) -> tuple[SortedView, ...]:
        """The views, a pane each, ready to be summed for any mark."""
        plan = self.room.patches.plan_m
        return tuple(
            sorted_view(view, points, self.share, plan_bearing_deg(plan, glass.pane.wall))
            for view, points, glass in zip(self.views, self.points, self.glazing, strict=True)
        )

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
        total = np.zeros(len(self.share))
        for view, points, glass in zip(self.views, self.points, self.glazing, strict=True):
            through = overcast_through(view, ground_reflectance, glass) * glass.passes
            total += mean_on_patches(self.share, points, through)
        return total


def mean_on_patches(
    share: FloatArray, points: NDArray[np.intp], per_point: FloatArray
) -> FloatArray:
    """(p,) means over the patches of a figure at some of their points, nought at the others."""
    weighed = per_point * share.ravel()[points]
    return np.bincount(points // share.shape[1], weighed, len(share)).astype(np.float64)


@held(8)
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
    plan = np.array(plan_m)
    room = enclosure(
        plan_m,
        height_m,
        (*(_opening(glass) for glass in glazing), *doors),
        _patch_m(plan, height_m),
        boxes,
    )
    points, share = room.patches.drawn_in(2, gauss=True)
    at, inwards = points.reshape(-1, 3), np.repeat(room.patches.normal, points.shape[1], axis=0)
    looking, views = [], []
    for glass in glazing:
        wing = wings_of(plan_m, glass.pane.wall, height_m)
        panels = 3 if wing or glass.skyline is not None else 1
        some = np.flatnonzero(faces_pane(plan, glass.pane, at, inwards))
        view = view_through(plan, glass, wing, at[some], inwards[some], 8, 4, panels, boxes)
        sees = np.flatnonzero(view.bare > 0)
        looking.append(some[sees])
        views.append(view.some(sees))
    return PatchViews(room, glazing, len(doors), share, tuple(looking), tuple(views))


@dataclass(frozen=True)
class SortedView:
    """What the patches (p) of a room see through a pane, as a SkyView, the sky's part sorted into
    boxes of bearing and elevation: most patches see the sky in a few of them. It depends on the view
    alone, so every mark, colour and hour has the same.

    box, patch:    (n,) which box and which patch a weight belongs to
    sky, sky_high: (n,) the weight, and the weight times the elevations it was summed over [deg]
    """

    box: NDArray[np.intp]
    patch: NDArray[np.intp]
    sky: FloatArray
    sky_high: FloatArray
    ground: FloatArray
    obstruction: FloatArray
    bare: FloatArray
    up_facade: FloatArray
    around: FloatArray  # (p, 5)

    def summed(self, sent: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(b,) bearings, elevations and weights of the sky for what has `sent` (p,) of each patch."""
        of_each = sent[self.patch]
        sky, sky_high = self.sky * of_each, self.sky_high * of_each
        return at_boxes(added(self.box, sky), added(self.box, sky_high))


def sorted_view(
    view: SkyView, points: NDArray[np.intp], share: FloatArray, turn_deg: float
) -> SortedView:
    """A view of some of the points, so many (p, k) a patch with their shares of it, patch by patch
    and sorted.

    turn_deg: what is added to the view's bearings before they are sorted
    """

    def of_patches(per_point: FloatArray | None) -> FloatArray:
        if per_point is None:
            return np.zeros(len(share))
        return mean_on_patches(share, points, per_point)

    sees = np.flatnonzero(view.sky.any(axis=(1, 2)))  # of many walls few look out of one window
    box = box_of(view.turned_deg[sees] + turn_deg, view.elevation_deg[sees])
    sky = view.sky[sees] * share.ravel()[points[sees], None, None]
    seeing, row = np.unique(points[sees] // share.shape[1], return_inverse=True)
    pair, pairs = (row[:, None, None] * BOXES + box).ravel(), len(seeing) * BOXES
    weight = added(pair, sky, pairs)
    high = added(pair, sky * view.elevation_deg[sees], pairs)
    found = np.flatnonzero(weight)
    return SortedView(
        found % BOXES,
        seeing[found // BOXES],
        weight[found],
        high[found],
        of_patches(view.ground),
        of_patches(view.obstruction),
        of_patches(view.bare),
        of_patches(view.up_facade),
        np.zeros((len(share), 5))
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
        p * float(view.up_facade @ sent),
        p * (sent @ view.around),
    )


def _opening(glass: Glazing) -> Opening:
    pane = glass.pane
    return glass.id, pane.wall, pane.offset_m, pane.sill_m, pane.width_m, pane.height_m


def _patch_m(plan: FloatArray, height_m: float) -> float:
    around = float(np.sum(np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)))
    area = 2.0 * plan_area_m2(plan) + height_m * around
    return round(max(PATCH_M, float(np.sqrt(area / MOST_PATCHES))), 3)
