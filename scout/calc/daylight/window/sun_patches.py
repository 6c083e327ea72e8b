"""Where the sun falls in the room: polygons on floor and walls, in any simple plan, at one instant.

All rays are parallel, so in plan the pane is cut where a ray passes a corner: between two cuts
    every ray first meets the
same wall. Within such a slab everything is linear, and the lit glass divides into what reaches the
floor and what reaches
the wall.
              ------------+
              |           |   the corner cuts the pane in two slabs;
              +-----+     |   the left one ends on the near wall, the right one reaches the far one
                   /|    /|
                  / |   / |
            =====/==|==/==+   pane
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.daylight.window.pane import (
    CORNER_M,
    FACING_AWAY,
    Pane,
    incidence_deg,
    lit_rectangle,
    turned_deg,
    wings_of,
)
from scout.calc.geometry import FloatArray, Wall, require, walls
from scout.calc.radiosity.boxes import Box

SMALLEST_M2 = 1e-8


@dataclass(frozen=True)
class SunPatch:
    """One lit polygon. Corners in room metres, in order round it."""

    surface: str  # wall letter, "floor", "ceiling" or the name of a box
    polygon_m: FloatArray  # (n, 3)
    area_m2: float


@dataclass(frozen=True)
class SunOnWindow:
    """The sun on one pane at one instant."""

    incidence_deg: float
    lit_share: float  # of the clear glass, 0 to 1
    patches: tuple[SunPatch, ...]


def sun_through(
    plan_m: ArrayLike,
    height_m: float,
    pane: Pane,
    *,
    facing_deg: float,
    azimuth_deg: float,
    elevation_deg: float,
    boxes: Sequence[Box] = (),
) -> SunOnWindow:
    """The lit share of a pane and where its sun falls, for a sun that stands in the open (horizon
    and skyline are the caller's).

    plan_m:        (n, 2) corners, clockwise [m];  height_m: floor to ceiling [m]
    facing_deg:    true bearing of the pane's outward normal;  azimuth_deg, elevation_deg: of
        the sun (refraction included)
    Returns:       SunOnWindow; no patches and a share of 0 when the sun is behind the wall
    Raises:        OutOfRange, naming the argument
    Source:        parallel projection; areas agree with brute force rays (see the tests)
    boxes:         what stands in the room, and stops the sun
    Limits:        sun as a point; walls opaque; the room's own wings rise to height_m outside
    """
    require("height_m", height_m, above=0)
    require("elevation_deg", elevation_deg, least=-90, most=90)
    g = float(turned_deg(azimuth_deg, facing_deg))
    incidence = float(incidence_deg(g, elevation_deg))
    rectangle = lit_rectangle(pane, g, elevation_deg)
    u0, u1, z0, z1 = (
        float(edge) for edge in (rectangle.u0, rectangle.u1, rectangle.z0, rectangle.z1)
    )
    if not (
        np.cos(np.radians(g)) > FACING_AWAY
        and np.cos(np.radians(elevation_deg)) > FACING_AWAY
        and u1 > u0
        and z1 > z0
    ):
        return SunOnWindow(incidence, 0.0, ())
    rays = _Rays(plan_m, height_m, pane.wall, g, elevation_deg, boxes)
    lit_m2 = 0.0
    pieces: dict[str, list[FloatArray]] = {}
    cuts = rays.cuts_m(u0, u1)
    for left, right in pairwise(cuts):
        lit = rays.below_wings(left, right, z0, z1)
        lit_m2 += _area_m2(lit)
        caught, past = rays.stopped(left, right, lit)
        for surface, polygon in caught:
            pieces.setdefault(surface, []).append(polygon)
        for part in past:
            for surface, polygon in rays.falls(left, right, part):
                pieces.setdefault(surface, []).append(polygon)
    order = [*(wall.letter for wall in rays.walls), "ceiling", *(box.name for box in boxes)]
    found = [
        SunPatch(surface, polygon, area)
        for surface in ("floor", *order)
        for polygon in _joined(pieces.get(surface, []))
        if (area := _area_m2(polygon)) > SMALLEST_M2
    ]
    return SunOnWindow(incidence, lit_m2 / (pane.width_m * pane.height_m), tuple(found))


class _Face:
    """A face of a box on the pane along the rays: corners (4, 3) of u, z and the depth behind it."""

    def __init__(self, name: str, seen: FloatArray) -> None:
        self.name = name
        turn = np.sign(_turn(seen[:3, :2]))
        self.corners = seen[:, :2] if turn > 0 else seen[::-1, :2]  # anticlockwise
        base = np.column_stack([seen[:3, :2], np.ones(3)])
        self.plane = np.linalg.solve(base, seen[:3, 2])

    def depth_m(self, at: FloatArray) -> float:
        """How deep the ray through (u, z) meets its plane."""
        return float(self.plane[:2] @ at + self.plane[2])

    def over(self, polygon: FloatArray) -> FloatArray:
        """The part of a convex polygon (n, 2) whose rays meet it."""
        for value in self._sides():
            polygon = _clip(polygon, value(polygon)) if len(polygon) >= 3 else polygon
        return polygon

    def but_for(self, polygon: FloatArray) -> list[FloatArray]:
        """The parts of a convex polygon whose rays miss it, convex again."""
        if _area_m2(self.over(polygon)) <= SMALLEST_M2:
            return [polygon]
        parts = []
        for value in self._sides():
            outside = _clip(polygon, -value(polygon))
            if _area_m2(outside) > SMALLEST_M2:
                parts.append(outside)
            polygon = _clip(polygon, value(polygon))
            if len(polygon) < 3:
                break
        return parts

    def before(self, other: _Face, within: FloatArray) -> bool:
        """Whether it stands before another face where both are met, within a polygon."""
        both = self.over(within)
        if _area_m2(both) <= SMALLEST_M2:
            return False
        middle = both.mean(axis=0)
        return self.depth_m(middle) < other.depth_m(middle) - CORNER_M

    def _sides(self) -> list[Callable[[FloatArray], FloatArray]]:
        def side(a: FloatArray, b: FloatArray) -> Callable[[FloatArray], FloatArray]:
            way = b - a

            def value(points: FloatArray) -> FloatArray:
                return np.asarray(way[0] * (points[:, 1] - a[1]) - way[1] * (points[:, 0] - a[0]))

            return value

        return [
            side(a, b) for a, b in zip(self.corners, np.roll(self.corners, -1, axis=0), strict=True)
        ]


def _turn(three: FloatArray) -> float:
    (ax, ay), (bx, by), (cx, cy) = three.tolist()
    return float((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))


class _Rays:
    """The sun's rays through one wall: along the wall u, up z, and what they meet inside and
    outside.
    """

    def __init__(
        self,
        plan_m: ArrayLike,
        height_m: float,
        wall: int,
        g_deg: float,
        h_deg: float,
        boxes: Sequence[Box],
    ) -> None:
        self.walls, self.height_m = walls(plan_m), height_m
        self.own: Wall = self.walls[wall]
        self.wings = wings_of(plan_m, wall, height_m)
        g, h = np.radians(g_deg), np.radians(h_deg)
        self.tan_g, self.tan_p = float(np.tan(g)), float(np.tan(h) / np.cos(g))
        self.others = [other for other in self.walls if other is not self.own]
        local = [
            [self._local(end) for end in (other.start_m, other.end_m)] for other in self.others
        ]
        self.ends = np.array(local)  # (walls, 2 ends, along and in)
        self.faces = [face for box in boxes for face in self._shone_on(box)]

    def _shone_on(self, box: Box) -> list[_Face]:
        """The faces of a box that look at the sun, as the rays through the pane see them."""
        way = np.append(-self.own.outward - self.tan_g * self.own.along, -self.tan_p)
        corners, normals, _ = box.faces(np.inf)
        offset = corners[..., :2] - self.own.start_m
        depth = -(offset @ self.own.outward)
        u = offset @ self.own.along + depth * self.tan_g
        seen = np.stack([u, corners[..., 2] + depth * self.tan_p, depth], axis=-1)
        return [
            _Face(box.name, outline)
            for outline, facing in zip(seen, normals @ way, strict=True)
            if facing < -FACING_AWAY and _area_m2(outline[:, :2]) > SMALLEST_M2
        ]

    def stopped(
        self, left: float, right: float, lit: FloatArray
    ) -> tuple[list[tuple[str, FloatArray]], list[FloatArray]]:
        """What boxes catch of one slab's lit glass, as `falls` gives it, and what (n, 2) they leave
        of it.
        """
        if not self.faces or len(lit) < 3:
            return [], [lit]
        number = self._first_met(0.5 * (left + right))
        near = [
            face
            for face in self.faces
            if len(part := face.over(lit)) >= 3
            and face.depth_m(part.mean(axis=0)) < self._depth_m(number, part.mean(axis=0)[:1])[0]
        ]
        caught = []
        past = [lit]
        for face in near:
            parts = [face.over(lit)]
            for other in near:
                if other is face:
                    continue
                parts = [
                    left_over
                    for part in parts
                    for left_over in (other.but_for(part) if other.before(face, part) else [part])
                ]
            caught += [
                (face.name, self._points(part[:, 0], depth, part[:, 1] - depth * self.tan_p))
                for part in parts
                if _area_m2(part) > SMALLEST_M2
                for depth in [np.array([face.depth_m(corner) for corner in part])]
            ]
            past = [rest for part in past for rest in face.but_for(part)]
        return caught, past

    def _depth_m(self, number: int, u: FloatArray) -> FloatArray:
        """How deep the rays from u along the pane meet a wall."""
        (ua, da), (ub, db) = self.ends[number]
        # linear in u, for u - d tan g = ua + s (ub - ua), d = da + s (db - da)
        across = (ub - ua) + (db - da) * self.tan_g
        return np.asarray(da + (u - ua - da * self.tan_g) / across * (db - da))

    def _local(self, point: FloatArray) -> tuple[float, float]:
        offset = point - self.own.start_m
        return float(offset @ self.own.along), float(-(offset @ self.own.outward))

    def cuts_m(self, u0: float, u1: float) -> list[float]:
        """Where along the pane a ray passes a corner, inside or outside, with both ends; none
        closer than 0.1 micrometre.
        """
        inside = self.ends[self.ends[..., 1] > CORNER_M]
        corners = np.concatenate(
            [inside[:, 0] + inside[:, 1] * self.tan_g, self.wings.breaks_m(self.tan_g)]
        )
        kept = [u0]
        for u in np.sort(corners[(corners > u0) & (corners < u1)]):
            if u - kept[-1] > CORNER_M and u1 - u > CORNER_M:
                kept.append(float(u))
        return [*kept, u1]

    def below_wings(self, left: float, right: float, z0: float, z1: float) -> FloatArray:
        """(n, 2) the lit part (u, z) of one slab of the pane: what the wing that stands before it
        leaves.
        """
        slab = np.array([(left, z0), (right, z0), (right, z1), (left, z1)])
        if not self.wings:
            return slab
        near = np.array([left + CORNER_M / 4, right - CORNER_M / 4])
        shade = self.wings.shade_m(near, self.tan_g, self.tan_p)
        if not np.all(np.isfinite(shade)):
            return slab
        return _clip(slab, slab[:, 1] - np.interp(slab[:, 0], (left, right), shade))

    def falls(self, left: float, right: float, lit: FloatArray) -> list[tuple[str, FloatArray]]:
        """What one slab's lit glass lights: (surface, corners (n, 3))."""
        if len(lit) < 3:
            return []
        number = self._first_met(0.5 * (left + right))
        depth = self._depth_m(number, lit[:, 0])
        drop = depth * self.tan_p
        found = []
        floor = _clip(np.column_stack([lit, drop]), drop - lit[:, 1])
        if len(floor) >= 3:
            way = np.where(
                floor[:, 2] > 0, floor[:, 1] / self.tan_p if self.tan_p > 0 else 0.0, 0.0
            )
            found.append(("floor", self._points(floor[:, 0], way, np.zeros(len(floor)))))
        wall = _clip(np.column_stack([lit, depth]), lit[:, 1] - drop)
        height = wall[:, 1] - wall[:, 2] * self.tan_p
        low = _clip(wall, self.height_m - height)
        if len(low) >= 3:
            found.append(
                (
                    self.others[number].letter,
                    self._points(low[:, 0], low[:, 2], low[:, 1] - low[:, 2] * self.tan_p),
                )
            )
        high = _clip(wall, height - self.height_m)
        if self.tan_p < 0 and len(high) >= 3:  # a sun under the level shines upward
            way = (high[:, 1] - self.height_m) / self.tan_p
            found.append(
                ("ceiling", self._points(high[:, 0], way, np.full(len(high), self.height_m)))
            )
        return found

    def _first_met(self, u: float) -> int:
        a, b = self.ends[:, 0], self.ends[:, 1]
        side_a, side_b = a[:, 0] + a[:, 1] * self.tan_g - u, b[:, 0] + b[:, 1] * self.tan_g - u
        crosses = (side_a > 0) != (side_b > 0)
        share = side_a / np.where(crosses, side_a - side_b, 1.0)
        depth = np.where(crosses, a[:, 1] + share * (b[:, 1] - a[:, 1]), np.inf)
        return int(np.argmin(np.where(depth > CORNER_M, depth, np.inf)))

    def _points(self, u: FloatArray, depth: FloatArray, z: FloatArray) -> FloatArray:
        plan = (
            self.own.start_m
            + np.outer(u - depth * self.tan_g, self.own.along)
            - np.outer(depth, self.own.outward)
        )
        return np.column_stack([plan, z])


def _clip(polygon: FloatArray, keep: FloatArray) -> FloatArray:
    """The part of a convex polygon (n, columns) where the value at its corners, linear between
    them, is 0 or more.
    """
    out: list[FloatArray] = []
    for i in range(len(polygon)):
        k = (i + 1) % len(polygon)
        if keep[i] >= 0:
            out.append(polygon[i])
        if (keep[i] >= 0) != (keep[k] >= 0):
            out.append(polygon[i] + (polygon[k] - polygon[i]) * (keep[i] / (keep[i] - keep[k])))
    return np.array(out).reshape(-1, polygon.shape[1])


def _area_m2(polygon: FloatArray) -> float:
    """Area of a flat polygon in two or three dimensions (Newell's sum)."""
    if len(polygon) < 3:
        return 0.0
    corners = (
        polygon if polygon.shape[1] == 3 else np.column_stack([polygon, np.zeros(len(polygon))])
    )
    corners = corners - corners[0]
    return 0.5 * float(
        np.linalg.norm(np.sum(np.cross(corners, np.roll(corners, -1, axis=0)), axis=0))
    )


def _joined(polygons: list[FloatArray]) -> list[FloatArray]:
    """Neighbouring slabs that share a whole edge become one polygon; corners on a straight edge are
    dropped.
    """
    done: list[FloatArray] = []
    for polygon in (_tidy(p) for p in polygons):
        if len(polygon) < 3:
            continue
        joined = _join(done[-1], polygon) if done else None
        if joined is None:
            done.append(polygon)
        else:
            done[-1] = _tidy(joined)
    return done


def _join(one: FloatArray, other: FloatArray) -> FloatArray | None:
    for i in range(len(one)):
        a, b = one[i], one[(i + 1) % len(one)]
        for j in range(len(other)):
            c, d = other[j], other[(j + 1) % len(other)]
            if np.allclose(a, d, rtol=0, atol=10 * CORNER_M) and np.allclose(
                b, c, rtol=0, atol=10 * CORNER_M
            ):
                # round `one` from b to a, then round `other` from after d (which is a) to before c
                # (which is b)
                return np.concatenate(
                    [np.roll(one, -(i + 1), axis=0), np.roll(other, -(j + 1), axis=0)[1:-1]]
                )
    return None


def _tidy(polygon: FloatArray) -> FloatArray:
    kept = [p for i, p in enumerate(polygon) if np.linalg.norm(p - polygon[i - 1]) > 10 * CORNER_M]
    if len(kept) < 3:
        return np.zeros((0, polygon.shape[1]))
    points = np.array(kept)
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.linalg.norm(np.cross(before, after), axis=1)
    straight = turn <= 1e-7 * np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(points[~straight])
