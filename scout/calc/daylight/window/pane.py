"""One pane of glass in its wall and the sun on it: incidence, profile, and the part of the glass
that is lit.

seen from above              seen from the side
outside   sun                      overhang_m, from the outer face
    \\    /  g                    ======+
----+    +----  outer face             | overhang_gap_m
    |    |      reveal_m          -----+ head
====+----+====  pane = wall plane      | pane
  u0      u1    inside            -----+ sill
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import SMALL_M, FloatArray, Wall, require, walls

FACING_AWAY = 1e-9  # cosines below this count as edge on
CORNER_M = 1e-7


@dataclass(frozen=True)
class Pane:
    """Clear glass, placed from the left end of its wall as seen from inside; the wall is numbered
    from 0 (A).
    """

    wall: int
    offset_m: float
    sill_m: float
    width_m: float
    height_m: float
    reveal_m: float = 0.0
    overhang_m: float = 0.0
    overhang_gap_m: float = 0.0

    def __post_init__(self) -> None:
        for name in ("offset_m", "sill_m", "reveal_m", "overhang_m", "overhang_gap_m"):
            require(f"pane.{name}", getattr(self, name), least=0)
        for name in ("width_m", "height_m"):
            require(f"pane.{name}", getattr(self, name), above=0)

    @property
    def head_m(self) -> float:
        """Height of the head above the floor."""
        return self.sill_m + self.height_m


@dataclass(frozen=True)
class LitRectangle:
    """(...) the part of the pane that reveal and overhang leave lit; empty where u1 <= u0 or z1 <=
    z0.
    """

    u0: FloatArray
    u1: FloatArray
    z0: FloatArray
    z1: FloatArray

    @property
    def area_m2(self) -> FloatArray:
        return np.asarray(np.maximum(self.u1 - self.u0, 0.0) * np.maximum(self.z1 - self.z0, 0.0))


def turned_deg(azimuth_deg: ArrayLike, facing_deg: ArrayLike) -> FloatArray:
    """How far the sun stands to the right of square on, for a person inside who looks out [deg,
    -180 to 180].
    """
    return np.asarray(
        (
            np.asarray(azimuth_deg, dtype=np.float64)
            - np.asarray(facing_deg, dtype=np.float64)
            + 180.0
        )
        % 360.0
        - 180.0
    )


def incidence_deg(g_deg: ArrayLike, h_deg: ArrayLike) -> FloatArray:
    """Angle between the sun and the outward normal of the glass: cos i = cos h cos g."""
    return np.asarray(
        np.degrees(
            np.arccos(np.clip(np.cos(np.radians(h_deg)) * np.cos(np.radians(g_deg)), -1.0, 1.0))
        )
    )


def lit_rectangle(pane: Pane, g_deg: ArrayLike, h_deg: ArrayLike) -> LitRectangle:
    """What reveal and overhang leave lit of the pane, sun g to the right of square on and h high.

    Source: geometry: jamb shadow r |tan g| on the sun's side; head shadow r tan P, or (o + r)
        tan P - gap under the
            overhang, whichever is larger; a sun below the level (refraction) shades from the sill
            instead
    Limits: the overhang is taken as much wider than the window
    """
    g, h = np.radians(g_deg), np.radians(h_deg)
    cos_g, cos_h = np.cos(g), np.cos(h)
    faces = (cos_g > FACING_AWAY) & (cos_h > FACING_AWAY)
    tan_g = np.where(faces, np.sin(g) / np.where(faces, cos_g, 1.0), 0.0)
    tan_p = np.where(faces, np.sin(h) / np.where(faces, cos_h * cos_g, 1.0), 0.0)
    right = pane.offset_m + pane.width_m
    head = np.maximum(
        pane.reveal_m * tan_p, (pane.overhang_m + pane.reveal_m) * tan_p - pane.overhang_gap_m
    )
    return LitRectangle(
        pane.offset_m + pane.reveal_m * np.maximum(-tan_g, 0.0),
        np.where(faces, right - pane.reveal_m * np.maximum(tan_g, 0.0), -np.inf),
        pane.sill_m + pane.reveal_m * np.maximum(-tan_p, 0.0),
        pane.head_m - np.maximum(head, 0.0),
    )


def lit_margin(pane: Pane, g_deg: ArrayLike, h_deg: ArrayLike) -> FloatArray:
    """Above 0 exactly where lit_rectangle is not empty, continuous through a sun that stands edge
    on or overhead.
    """
    g, h = np.radians(g_deg), np.radians(h_deg)
    cos_g, cos_h, sin_h = np.cos(g), np.cos(h), np.sin(h)
    across = cos_g - pane.reveal_m / pane.width_m * np.abs(np.sin(g))
    upright = cos_g * cos_h
    head = np.maximum(
        pane.reveal_m * np.abs(sin_h),
        (pane.overhang_m + pane.reveal_m) * sin_h - pane.overhang_gap_m * upright,
    )
    return np.asarray(np.minimum(across, upright - np.maximum(head, 0.0) / pane.height_m))


class Wings:
    """The room's own walls that stand outside in front of a window, in a plan that is not convex;
    roof at the room's height.
    """

    def __init__(self, plan_m: ArrayLike, wall: int, height_m: float) -> None:
        own = walls(plan_m)[wall]
        starts, ends = [], []
        for number, other in enumerate(walls(plan_m)):
            part = _in_front(own, other) if number != wall else None
            if part is not None:
                starts.append(part[0])
                ends.append(part[1])
        self.height_m = height_m
        self.start = np.array(starts).reshape(
            -1, 2
        )  # (w, 2) along the window's wall, and out from it
        self.end = np.array(ends).reshape(-1, 2)

    def __bool__(self) -> bool:
        return len(self.start) > 0

    def breaks_m(self, tan_g: ArrayLike) -> FloatArray:
        """(..., 2 w) places along the wall from which the ray to the sun passes an end of a wing."""
        ends = np.concatenate([self.start, self.end])
        return np.asarray(ends[:, 0] - ends[:, 1] * np.asarray(tan_g, dtype=np.float64)[..., None])

    def distance_m(self, u_m: ArrayLike, tan_g: ArrayLike) -> FloatArray:
        """(...) how far out, square to the wall, the ray from u to the sun meets the nearest wing;
        infinite when it meets none.
        """
        u, t = (
            np.asarray(u_m, dtype=np.float64)[..., None],
            np.asarray(tan_g, dtype=np.float64)[..., None],
        )
        a, b = self.start, self.end
        # Along the wall itself the tangent is infinite and no side is known: such a ray crosses
        # nothing, and lights nothing either.
        with np.errstate(invalid="ignore"):
            side_a = (
                a[:, 0] - a[:, 1] * t - u
            )  # where the ray that passes each end leaves the wall, less u
            side_b = b[:, 0] - b[:, 1] * t - u
            crosses = (side_a > 0) != (side_b > 0)
            share = side_a / np.where(crosses, side_a - side_b, 1.0)
            out = np.where(crosses, a[:, 1] + share * (b[:, 1] - a[:, 1]), np.inf)
        return np.asarray(np.min(np.where(out > CORNER_M, out, np.inf), axis=-1, initial=np.inf))

    def shade_m(self, u_m: ArrayLike, tan_g: ArrayLike, tan_p: ArrayLike) -> FloatArray:
        """(...) the pane is dark below this height at u, minus infinity where no wing stands."""
        distance = self.distance_m(u_m, tan_g)
        meets = np.isfinite(distance)
        return np.where(
            meets,
            self.height_m - np.where(meets, distance, 0.0) * np.asarray(tan_p, dtype=np.float64),
            -np.inf,
        )

    def lit(self, rectangle: LitRectangle, g_deg: ArrayLike, h_deg: ArrayLike) -> NDArray[np.bool_]:
        """(...) whether the wings leave any of the lit rectangle lit, by the lowest shade along it."""
        g, h = np.radians(g_deg), np.radians(h_deg)
        tan_g = np.tan(g)
        tan_p = np.tan(h) / np.cos(g)
        breaks = self.breaks_m(tan_g)
        u0, u1 = rectangle.u0[..., None], rectangle.u1[..., None]
        tried = np.concatenate([u0, u1, breaks - CORNER_M, breaks + CORNER_M], axis=-1)
        tried = np.clip(tried, u0 + CORNER_M, u1 - CORNER_M)
        lowest = np.min(self.shade_m(tried, tan_g[..., None], tan_p[..., None]), axis=-1)
        return np.asarray(lowest < rectangle.z1 - SMALL_M)


def _in_front(own: Wall, other: Wall) -> tuple[FloatArray, FloatArray] | None:
    """The part of another wall outside a wall's line, as (along, out) of its ends, or None."""
    ends = [
        np.array([(p - own.start_m) @ own.along, (p - own.start_m) @ own.outward])
        for p in (other.start_m, other.end_m)
    ]
    (a, b), (out_a, out_b) = ends, (ends[0][1], ends[1][1])
    if out_a <= CORNER_M and out_b <= CORNER_M:
        return None
    if out_a < 0:
        a = a + (b - a) * (out_a / (out_a - out_b))
    elif out_b < 0:
        b = b + (a - b) * (out_b / (out_b - out_a))
    return a, b


def wings_of(plan_m: ArrayLike, wall: int, height_m: float) -> Wings:
    """The wings before the windows of a wall; held, since every pane and hour asks for them again."""
    corners = np.asarray(plan_m, dtype=np.float64)
    return _held_wings(corners.shape, corners.tobytes(), wall, height_m)


@lru_cache(maxsize=256)
def _held_wings(shape: tuple[int, ...], corners: bytes, wall: int, height_m: float) -> Wings:
    return Wings(np.frombuffer(corners).reshape(shape), wall, height_m)
