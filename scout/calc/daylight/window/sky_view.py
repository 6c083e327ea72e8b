"""What small planes in a room see of the outdoors through one pane: sky, things before it, and
ground.

Along one bearing a window shows one stretch of elevation, bounded by sill, head, reveal and
overhang (all proportional to
the cosine of the bearing off square on), the skyline and the room's own wings. So the view is
summed bearing by bearing
and, within each, by elevation, by Gauss and Legendre's rule: exact to six digits where nothing has
corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.daylight.outside.sky import clear_spread, overcast_spread
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import EYE_M, Street
from scout.calc.daylight.window.fan import Fan, cosine, heights, hidden_by, nodes_between
from scout.calc.daylight.window.pane import CORNER_M, Pane, Wings
from scout.calc.geometry import FloatArray, walls
from scout.calc.radiosity.boxes import Box
from scout.calc.radiosity.visibility import INWARD_M, is_convex, sees


@dataclass(frozen=True)
class SkyView:
    """What (k) planes see through a pane; a weight times a luminance [cd/m2] is illuminance [lux].

    turned_deg:    (k, n) bearing of each direction, clockwise from the wall's outward normal
    elevation_deg: (k, n, m)
    sky:           (k, n, m) weights of the sky, glass included
    ground, obstruction: (k,) weights of the ground and of what stands before the sky, glass
        included
    up_facade:     (k,) of a street's facades, the weights times how far up them each lies, 0 to 1
    bare:          (k,) weight of the whole pane if it were a diffuser: glass not included
    around:        (k, 5) weights of what frames the opening outside, glass included: jamb at the
        left and at the right, head, ledge, underside of the overhang
    """

    turned_deg: FloatArray
    elevation_deg: FloatArray
    sky: FloatArray
    ground: FloatArray
    obstruction: FloatArray
    bare: FloatArray
    up_facade: FloatArray | None = None
    around: FloatArray | None = None

    def overcast(self) -> FloatArray:
        """(k,) what comes straight from the sky for each lux of an overcast one."""
        return np.asarray(np.sum(self.sky * overcast_spread(self.elevation_deg), axis=(1, 2)))

    def clear(
        self, facing_deg: float, sun_elevation_deg: float, sun_azimuth_deg: float
    ) -> FloatArray:
        """(k,) the same of a clear sky's, without the sun. facing_deg: true bearing of the pane's
        outward normal.
        """
        found = np.zeros(len(self.ground))
        sees = np.flatnonzero(np.any(self.sky > 0, axis=(1, 2)))
        spread = clear_spread(
            self.elevation_deg[sees],
            self.turned_deg[sees, :, None] + facing_deg,
            sun_elevation_deg,
            sun_azimuth_deg,
        )
        found[sees] = np.sum(self.sky[sees] * spread, axis=(1, 2))
        return found

    @staticmethod
    def joined(views: Sequence[SkyView]) -> SkyView:
        """The views of all planes, one pane's, plane after plane."""
        first, *rest = views
        return replace(
            first,
            **{
                name: np.concatenate([part, *(getattr(view, name) for view in rest)])
                for name, part in vars(first).items()
                if part is not None
            },
        )


class Outlook(Protocol):
    """What (k) planes see through a pane, however their views of the sky are kept: as of SkyView."""

    @property
    def ground(self) -> FloatArray: ...
    @property
    def obstruction(self) -> FloatArray: ...
    @property
    def bare(self) -> FloatArray: ...
    @property
    def up_facade(self) -> FloatArray | None: ...
    @property
    def around(self) -> FloatArray | None: ...
    def overcast(self) -> FloatArray: ...
    def clear(
        self, facing_deg: float, sun_elevation_deg: float, sun_azimuth_deg: float
    ) -> FloatArray: ...


LEFT, RIGHT, HEAD, LEDGE, UNDERSIDE = range(5)
JAMB_NODES = 4  # bearings and elevations that a strip of a reveal is summed over
CHUNK = 32_768  # directions worked on at once: what stays near the processor


def faces_pane(
    plan_m: ArrayLike, pane: Pane, at_m: FloatArray, normal: FloatArray
) -> NDArray[np.bool_]:
    """(k,) whether small planes look towards any of a pane, whatever may stand before it."""
    own = walls(plan_m)[pane.wall]
    corners = [
        own.point(pane.offset_m + along, height)
        for along in (0.0, pane.width_m)
        for height in (pane.sill_m, pane.head_m)
    ]
    facing = np.zeros(len(at_m), dtype=bool)
    for corner in corners:
        facing |= np.einsum("kx,kx->k", np.asarray(corner) - at_m, normal) > 0
    return facing & ((own.start_m - at_m[:, :2]) @ own.outward > CORNER_M)


def sky_view(
    plan_m: ArrayLike,
    pane: Pane,
    transmittance: float,
    at_m: FloatArray,
    normal: FloatArray,
    *,
    bearings: int = 16,
    elevations: int = 8,
    panels: int = 1,
    skyline: ArrayLike | None = None,
    facing_deg: float = 0.0,
    wings: Wings | None = None,
    panes: int = 1,
    boxes: Sequence[Box] = (),
    street: Street | None = None,
) -> SkyView:
    """The view of k small planes through a pane.

    at_m, normal:  (k, 3) [m], inside the room; unit normals
    transmittance: of the glass square on, 0 to 1
    bearings, elevations, panels: nodes; panels cuts the width of the view into so many parts,
        for skylines with corners
    skyline, facing_deg: (n, 2) true bearings and elevations [deg], and the true bearing of the
        pane's outward normal
    wings:         the room's own walls before the window;  panes: of the glass, one behind the
        other
    boxes:         what stands in the room: each hides one stretch of elevations along a bearing
    street:        what the skyline is made of, where it is near: from deep in the room it stands
        lower, and below the horizon its foot is seen before its ground
    Returns:       SkyView
    Limits:        the overhang is taken as much wider than the window; hiding by the room's own
        walls inside is decided along
                   the line of sight to each bearing
    """
    plan = np.asarray(plan_m, dtype=np.float64)
    step = max(1, CHUNK // (bearings * elevations * panels))
    return SkyView.joined(
        [
            _sky_view(
                plan,
                pane,
                transmittance,
                at_m[first : first + step],
                normal[first : first + step],
                (bearings, elevations, panels),
                skyline,
                facing_deg,
                wings,
                panes,
                boxes,
                street,
            )
            for first in range(0, max(1, len(at_m)), step)
        ]
    )


def _sky_view(
    plan: FloatArray,
    pane: Pane,
    transmittance: float,
    at_m: FloatArray,
    normal: FloatArray,
    nodes: tuple[int, int, int],
    skyline: ArrayLike | None,
    facing_deg: float,
    wings: Wings | None,
    panes: int,
    boxes: Sequence[Box],
    street: Street | None,
) -> SkyView:
    bearings, elevations, panels = nodes
    own = walls(plan)[pane.wall]
    offset = at_m[:, :2] - own.start_m
    along, depth = offset @ own.along, -(offset @ own.outward)
    inside = depth > CORNER_M
    d = np.where(inside, depth, 1.0)
    outer = d + pane.reveal_m
    left, right = pane.offset_m - along, pane.offset_m + pane.width_m - along
    low = np.maximum(np.arctan(left / d), np.arctan(left / outer))
    high = np.minimum(np.arctan(right / d), np.arctan(right / outer))
    up = at_m[:, 2]
    high = np.maximum(high, low)
    convex = is_convex(plan)

    def fan(start: FloatArray, end: FloatArray, count: int, parts: int) -> Fan:
        g, dg = nodes_between(start, end, count, parts)  # (k, n)
        pair = np.flatnonzero((dg > 0) & inside[:, None])
        point, tan_g = pair // g.shape[1], np.tan(g.ravel()[pair])
        if not convex:
            reach = along[point] + d[point] * tan_g
            target = own.start_m + reach[:, None] * own.along - INWARD_M * own.outward
            seen = np.flatnonzero(sees(plan, at_m[point, :2], target))
            pair, point, tan_g = pair[seen], point[seen], tan_g[seen]
        cos_g = cosine(tan_g)
        outward = (tan_g * cos_g)[:, None] * own.along + cos_g[:, None] * own.outward
        return Fan(
            g,
            pair,
            point,
            tan_g,
            cos_g,
            dg.ravel()[pair],
            np.einsum("qx,qx->q", outward, normal[point, :2]),
            normal[point, 2],
            hidden_by(boxes, at_m, point, outward, d[point] / cos_g),
            transmittance,
            panes,
        )

    middle = fan(low, high, bearings, panels)
    turned_deg, cos_g, of = np.degrees(middle.turned), middle.cos_g, middle.point
    head = np.minimum((pane.head_m - up) / d, (pane.head_m - up) / outer)
    if pane.overhang_m > 0:
        head = np.minimum(
            head, (pane.head_m + pane.overhang_gap_m - up) / (outer + pane.overhang_m)
        )
    sill = np.maximum((pane.sill_m - up) / d, (pane.sill_m - up) / outer)
    top, bottom = np.arctan(head[of] * cos_g), np.arctan(sill[of] * cos_g)
    top = np.maximum(top, bottom)
    stands = level = np.zeros_like(cos_g)
    if skyline is not None:
        bearing = facing_deg + turned_deg.ravel()[middle.pair]
        stands = np.maximum(stands, np.radians(skyline_deg(skyline, bearing)))
    if street is not None:
        away = street.width_m + d[of]
        rise = np.tan(stands) * street.width_m + (EYE_M - up[of]) * cos_g
        level = np.where(stands > 0, -np.arctan((street.floor_m + up[of]) * cos_g / away), 0.0)
        stands = np.where(stands > 0, np.arctan(np.maximum(rise, 0.0) / away), 0.0)
    if wings:
        away = wings.distance_m(along[of] + d[of] * middle.tan_g, middle.tan_g) + d[of]
        stands = np.maximum(stands, np.arctan((wings.height_m - up[of]) * cos_g / away))

    bottom, top, gaps = middle.cut(bottom, top)
    lowest = np.maximum(bottom, stands)
    sky = middle.between(lowest, top, elevations, gaps)
    # of all bearings, whichever way the plane looks: planes at one place have the same directions
    seen_at = heights(lowest, np.maximum(top - lowest, 0.0), elevations)
    ground = middle.between(bottom, np.minimum(top, level), elevations, gaps)
    bare = sky.summed(sky.bare) + ground.summed(ground.bare)
    up_facade: FloatArray | None = None
    obstruction = np.zeros(len(up))
    if skyline is not None or wings:
        before = middle.between(
            np.maximum(bottom, level), np.minimum(top, stands), elevations, gaps
        )
        obstruction = before.summed(before.through)
        bare = bare + before.summed(before.bare)
        if street is not None:
            of = middle.point[before.at]
            reach = (street.width_m + d[of]) / cos_g[before.at]
            height = street.floor_m + up[of] + before.slope * reach
            risen = before.through * np.clip(height / street.opposite_m, 0.0, 1.0)
            up_facade = before.summed(risen)
    around: FloatArray | None = None
    if pane.reveal_m > 0 or pane.overhang_m > 0:
        strips: list[tuple[Fan, int | None]] = [(middle, None)]
        if pane.reveal_m > 0:
            ends = np.arctan(left / d), np.arctan(right / d)
            for side, start, end in (
                (LEFT, ends[0], np.maximum(np.minimum(low, ends[1]), ends[0])),
                (RIGHT, np.minimum(np.maximum(high, ends[0]), ends[1]), ends[1]),
            ):
                strips.append((fan(start, end, JAMB_NODES, 1), side))
        around, also_bare = _around(pane, strips, left, right, up, d)
        bare = bare + also_bare
    return SkyView(
        turned_deg,
        np.degrees(middle.spread(seen_at)),
        sky.spread(sky.through),
        ground.summed(ground.through),
        obstruction,
        bare,
        up_facade,
        around,
    )


def _around(
    pane: Pane,
    strips: Sequence[tuple[Fan, int | None]],
    left: FloatArray,
    right: FloatArray,
    up: FloatArray,
    d: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """(k, 5) weights of what frames the opening, and (k,) of all of it without the glass.

    strips: bearings that pass out between the jambs (None), and those that end on one of them
    """
    seen, bare = np.zeros((len(up), 5)), np.zeros(len(up))
    outer = d + pane.reveal_m
    sill, head = pane.sill_m - up, pane.head_m - up
    for fan, jamb in strips:
        cos_g, of = fan.cos_g, fan.point
        out = outer[of]
        if jamb is not None:  # how far out the bearing meets the jamb
            edge = (left if jamb == LEFT else right)[of]
            slant = np.where(np.abs(fan.tan_g) > 1e-9, fan.tan_g, 1e-9)
            out = np.clip(edge / slant, d[of], out)
        bottom, top = np.arctan((sill / d)[of] * cos_g), np.arctan((head / d)[of] * cos_g)
        low = np.maximum(bottom, np.arctan(sill[of] / out * cos_g))
        high = np.maximum(np.minimum(top, np.arctan(head[of] / out * cos_g)), low)
        parts = [(LEDGE, bottom, low), (HEAD, high, top)]
        if jamb is not None:
            parts.append((jamb, low, high))
        elif pane.overhang_m > 0:
            edge = (pane.head_m + pane.overhang_gap_m - up) / (outer + pane.overhang_m)
            parts.append((UNDERSIDE, np.maximum(np.arctan(edge[of] * cos_g), low), high))
        for face, start, end in parts:
            rows = np.flatnonzero(end > start)
            if not len(rows):
                continue
            some = fan.some(rows)
            start, end, gaps = some.cut(start[rows], end[rows])
            band = some.between(start, end, JAMB_NODES, gaps)
            seen[:, face] += band.summed(band.through)
            bare += band.summed(band.bare)
    return seen, bare
