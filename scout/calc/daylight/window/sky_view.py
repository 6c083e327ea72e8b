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

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import EYE_M, Street
from scout.calc.daylight.window.glass import transmitted_many
from scout.calc.daylight.window.pane import CORNER_M, Pane, Wings
from scout.calc.geometry import FloatArray, walls
from scout.calc.quadrature import gauss_legendre
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

    def some(self, planes: NDArray[np.intp]) -> SkyView:
        """The views of some of the planes."""
        return replace(
            self,
            **{name: part[planes] for name, part in vars(self).items() if part is not None},
        )

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


LEFT, RIGHT, HEAD, LEDGE, UNDERSIDE = range(5)
JAMB_NODES = 4  # bearings and elevations that a strip of a reveal is summed over
CHUNK = 16_384  # directions worked on at once: what stays near the processor


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
    d = np.where(inside, depth, 1.0)[:, None]
    outer = d + pane.reveal_m
    left, right = pane.offset_m - along[:, None], pane.offset_m + pane.width_m - along[:, None]
    low = np.maximum(np.arctan(left / d), np.arctan(left / outer))[:, 0]
    high = np.minimum(np.arctan(right / d), np.arctan(right / outer))[:, 0]
    up = at_m[:, 2:3]
    high = np.maximum(high, low)

    def fan(start: FloatArray, end: FloatArray, count: int, parts: int) -> _Fan:
        g, dg = _nodes(start, end, count, parts)  # (k, n)
        dg = np.where(inside[:, None], dg, 0.0)
        if not is_convex(plan):
            target = (
                own.start_m
                + (along[:, None] + d * np.tan(g))[..., None] * own.along
                - INWARD_M * own.outward
            )
            dg = dg * sees(plan, at_m[:, None, :2], target)
        outward = np.sin(g)[..., None] * own.along + np.cos(g)[..., None] * own.outward
        hidden = _hidden(boxes, at_m, outward, d / np.cos(g))
        return _Fan(g, dg, outward, normal, hidden, transmittance, panes)

    middle = fan(low, high, bearings, panels)
    g, cos_g = middle.g, np.cos(middle.g)
    head = np.minimum((pane.head_m - up) / d, (pane.head_m - up) / outer)
    if pane.overhang_m > 0:
        head = np.minimum(
            head, (pane.head_m + pane.overhang_gap_m - up) / (outer + pane.overhang_m)
        )
    sill = np.maximum((pane.sill_m - up) / d, (pane.sill_m - up) / outer)
    top, bottom = np.arctan(head * cos_g), np.arctan(sill * cos_g)
    top = np.maximum(top, bottom)
    stands = np.zeros_like(g)
    if skyline is not None:
        stands = np.maximum(stands, np.radians(skyline_deg(skyline, facing_deg + np.degrees(g))))
    level = np.zeros_like(g)
    if street is not None:
        away = street.width_m + d
        rise = np.tan(stands) * street.width_m + (EYE_M - up) * cos_g
        level = np.where(stands > 0, -np.arctan((street.floor_m + up) * cos_g / away), 0.0)
        stands = np.where(stands > 0, np.arctan(np.maximum(rise, 0.0) / away), 0.0)
    if wings:
        away = wings.distance_m(along[:, None] + d * np.tan(g), np.tan(g)) + d
        stands = np.maximum(stands, np.arctan((wings.height_m - up) * cos_g / away))

    bottom, top, gaps = middle.cut(bottom, top)
    gamma, bare_sky, sky = middle.weights(np.maximum(bottom, stands), top, elevations, gaps)
    up_facade: FloatArray | None = None
    bare_before = before = np.zeros((*g.shape, 1))
    if skyline is not None or wings:
        slope, bare_before, before = middle.weights(
            np.maximum(bottom, level), np.minimum(top, stands), elevations, gaps
        )
        if street is not None:
            reach = ((street.width_m + d) / cos_g)[..., None]
            height = street.floor_m + up[..., None] + np.tan(slope) * reach
            up_facade = np.sum(before * np.clip(height / street.opposite_m, 0.0, 1.0), axis=(1, 2))
    _, bare_ground, ground = middle.weights(bottom, np.minimum(top, level), elevations, gaps)
    sums = [part.sum(axis=(1, 2)) for part in (ground, before, bare_sky, bare_before, bare_ground)]
    bare = sums[2] + sums[3] + sums[4]
    around: FloatArray | None = None
    if pane.reveal_m > 0 or pane.overhang_m > 0:
        strips: list[tuple[_Fan, int | None]] = [(middle, None)]
        if pane.reveal_m > 0:
            ends = np.arctan(left / d)[:, 0], np.arctan(right / d)[:, 0]
            for side, start, end in (
                (LEFT, ends[0], np.maximum(np.minimum(low, ends[1]), ends[0])),
                (RIGHT, np.minimum(np.maximum(high, ends[0]), ends[1]), ends[1]),
            ):
                strips.append((fan(start, end, JAMB_NODES, 1), side))
        around, also_bare = _around(pane, strips, left, right, up, d)
        bare = bare + also_bare
    return SkyView(np.degrees(g), np.degrees(gamma), sky, sums[0], sums[1], bare, up_facade, around)


@dataclass(frozen=True)
class _Fan:
    """Bearings g with their widths dg (k, n) that points look along, and what boxes hide there."""

    g: FloatArray
    dg: FloatArray
    outward: FloatArray  # (k, n, 2)
    normal: FloatArray
    hidden: list[tuple[FloatArray, FloatArray]]
    transmittance: float
    panes: int

    def some(self, points: NDArray[np.intp]) -> _Fan:
        """The bearings of some of the points."""
        return replace(
            self,
            g=self.g[points],
            dg=self.dg[points],
            outward=self.outward[points],
            normal=self.normal[points],
            hidden=[(low[points], high[points]) for low, high in self.hidden],
        )

    def cut(
        self, bottom: FloatArray, top: FloatArray
    ) -> tuple[FloatArray, FloatArray, list[tuple[FloatArray, FloatArray]]]:
        """What boxes leave of the elevations from bottom to top, (k, n): cut exactly where they
        hide its lower or upper end, and else (the edge of a table top before a window) as stretches
        to pass over node by node.
        """
        hidden = [(low, high) for low, high in self.hidden if np.any((low < top) & (high > bottom))]
        for _ in hidden:  # what one box leaves may begin behind another
            for low, high in hidden:
                bottom = np.where((low <= bottom) & (high > bottom), np.minimum(high, top), bottom)
                top = np.where((high >= top) & (low < top), np.maximum(low, bottom), top)
        gaps = [(low, high) for low, high in hidden if np.any((low > bottom) & (high < top))]
        return bottom, top, gaps

    def weights(
        self,
        start: FloatArray,
        end: FloatArray,
        count: int,
        gaps: Sequence[tuple[FloatArray, FloatArray]],
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(k, n, count) elevations between two, and their weights without the glass and with it."""
        node, share = gauss_legendre(count)
        span = np.maximum(end - start, 0.0)[..., None]
        gamma = start[..., None] + span * (node + 1.0) / 2.0
        tan_e = np.tan(gamma)  # a tangent and a root take a third of the time of sine and cosine
        cos_e = 1.0 / np.sqrt(1.0 + tan_e * tan_e)
        along_way = np.einsum("knx,kx->kn", self.outward, self.normal[:, :2])[..., None]
        cosine = np.maximum((along_way + self.normal[:, 2, None, None] * tan_e) * cos_e, 0.0)
        for lowest, highest in gaps:
            cosine[(gamma > lowest[..., None]) & (gamma < highest[..., None])] = 0.0
        whole = cosine * cos_e * span * share / 2.0 * self.dg[..., None]
        incidence = cos_e * np.cos(self.g)[..., None]
        return gamma, whole, whole * transmitted_many(self.transmittance, incidence, self.panes)


def _around(
    pane: Pane,
    strips: Sequence[tuple[_Fan, int | None]],
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
        cos_g = np.cos(fan.g)
        out: FloatArray = outer
        if jamb is not None:  # how far out the bearing meets the jamb
            edge = left if jamb == LEFT else right
            tan_g = np.tan(fan.g)
            out = np.clip(edge / np.where(np.abs(tan_g) > 1e-9, tan_g, 1e-9), d, outer)
        bottom, top = np.arctan(sill / d * cos_g), np.arctan(head / d * cos_g)
        low = np.maximum(bottom, np.arctan(sill / out * cos_g))
        high = np.maximum(np.minimum(top, np.arctan(head / out * cos_g)), low)
        parts = [(LEDGE, bottom, low), (HEAD, high, top)]
        if jamb is not None:
            parts.append((jamb, low, high))
        elif pane.overhang_m > 0:
            edge = (pane.head_m + pane.overhang_gap_m - up) / (outer + pane.overhang_m)
            parts.append((UNDERSIDE, np.maximum(np.arctan(edge * cos_g), low), high))
        for face, start, end in parts:
            rows = np.flatnonzero(np.any(end > start, axis=1))
            if not len(rows):
                continue
            some = fan.some(rows)
            start, end, gaps = some.cut(start[rows], np.maximum(end, start)[rows])
            _, whole, through = some.weights(start, end, JAMB_NODES, gaps)
            seen[rows, face] += through.sum(axis=(1, 2))
            bare[rows] += whole.sum(axis=(1, 2))
    return seen, bare


def _hidden(
    boxes: Sequence[Box], at_m: FloatArray, outward: FloatArray, far_m: FloatArray
) -> list[tuple[FloatArray, FloatArray]]:
    """The stretches of elevation that boxes hide along bearings (k, n, 2), those that hide any."""
    found = []
    for box in boxes:
        low, high = (np.arctan(part) for part in box.hidden_heights(at_m, outward, far_m))
        if np.any(low < high):
            found.append((low, high))
    return found


def _nodes(
    low: FloatArray, high: FloatArray, count: int, panels: int
) -> tuple[FloatArray, FloatArray]:
    """(k, panels * count) nodes and weights of Gauss and Legendre between low and high, in equal
    panels.
    """
    node, share = gauss_legendre(count)
    unit = ((np.arange(panels)[:, None] + (node + 1.0) / 2.0) / panels).ravel()
    weight = np.tile(share / 2.0 / panels, panels)
    span = (high - low)[:, None]
    return low[:, None] + span * unit, span * weight
