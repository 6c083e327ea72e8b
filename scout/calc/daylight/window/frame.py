"""What frames an opening outside: the reveal's jambs, head and ledge, and the underside of an
overhang. They are lit from outdoors and send part of it on through the glass.

+----------------------------+ underside of the overhang
+-- head --+                 |      The reveal is worked out as a little room of its own, open to the
|          |  reveal         |      outside and closed by the glass. The underside is lit by the ground
| glass    |                 |      and by the building's own wall beneath it.
+-- ledge -+
           | own facade

Everything is linear in the luminance outdoors. So a face is known by weights: weight x luminance
outdoors is the mean luminance of the face, for whom looks at it through the glass.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import Street
from scout.calc.daylight.window.beam import beam_hits, nearest_patch
from scout.calc.daylight.window.pane import Pane
from scout.calc.daylight.window.sky_view import (
    HEAD,
    LEDGE,
    LEFT,
    RIGHT,
    UNDERSIDE,
    SkyView,
    sky_view,
)
from scout.calc.geometry import FloatArray
from scout.calc.held import MB, held
from scout.calc.radiosity import Patches, cut, form_factors

FACES = 5
BIN_DEG = 5.0
COLUMNS, ROWS = round(360.0 / BIN_DEG), round(90.0 / BIN_DEG)
BOXES = ROWS * COLUMNS
# the flats of the little room, walls A to D, floor and ceiling, that are faces of the reveal; A is
# open, C the glass
FLATS = {3: LEFT, 1: RIGHT, 5: HEAD, 4: LEDGE}
FINEST = 8  # patches along the longer side of the opening


@dataclass(frozen=True)
class Frame:
    """An opening's frame. reveal, underside, facade: what its sides, the overhang and the wall
    beneath that reflect; glass: what the glazing throws back; drop_m: of the sill above the ground.
    """

    pane: Pane
    reveal: float
    underside: float
    facade: float
    glass: float = 0.0
    drop_m: float = 1.0
    skyline: tuple[tuple[float, float], ...] | None = None
    facing_deg: float = 0.0
    street: Street | None = None


@dataclass(frozen=True)
class Faces:
    """The faces (5) by what lights them: sky by direction (n), ground, and things before the sky,
    of a street also times how far up they lie, as in a SkyView.
    """

    frame: Frame
    turned_deg: FloatArray  # (n,) from square out of the window, clockwise
    elevation_deg: FloatArray
    sky: FloatArray  # (5, n)
    ground: FloatArray
    obstruction: FloatArray
    up_facade: FloatArray | None
    patches: Patches | None
    sent: (
        FloatArray  # (5, p) luminance of each face for each lux that lands on a patch of the reveal
    )

    def sun(self, turned_deg: FloatArray, elevation_deg: FloatArray) -> FloatArray:
        """(t, 5) luminance of the faces for each lux of a sun square on, which no skyline hides.

        turned_deg, elevation_deg: (t,) to the right of square out of the window, and its height
        """
        return _by_sun(self.frame, turned_deg.tobytes(), elevation_deg.tobytes())

    def _sun(self, turned_deg: FloatArray, elevation_deg: FloatArray) -> FloatArray:
        pane = self.frame.pane
        g, h = np.radians(turned_deg), np.radians(elevation_deg)
        cosine = np.maximum(np.cos(g) * np.cos(h), 0.0)
        found = np.zeros((len(g), FACES))
        if pane.overhang_m > 0:
            shaded = pane.overhang_m * np.sin(h) / np.maximum(cosine, 1e-6)
            found[:, UNDERSIDE] = (
                self.frame.underside * self.frame.facade * cosine / np.pi
            ) * _facade_below(self.frame, shaded)
        if self.patches is None:
            return found
        hits = beam_hits(
            self.patches.plan_m,
            self.patches.height_m,
            _outer(pane, 0.0),
            turned_deg,
            elevation_deg,
        )
        lumens = hits.area_m2 * cosine[:, None]
        to = nearest_patch(self.patches.centre_m, self.patches.flat, hits.point_m, hits.surface)
        for face in range(UNDERSIDE):
            found[:, face] = np.sum(lumens * (self.sent[face] / self.patches.area_m2)[to], axis=1)
        return found + found[:, UNDERSIDE:] * self._from_underside

    @property
    def _from_underside(self) -> FloatArray:
        """(5,) what the faces send on of the underside's own luminance."""
        return _by_underside(self.frame)


@held(64, 2 * MB)  # all marks and planes of a room ask for the same suns
def _by_sun(frame: Frame, turned_deg: bytes, elevation_deg: bytes) -> FloatArray:
    return faces(frame)._sun(np.frombuffer(turned_deg), np.frombuffer(elevation_deg))


@lru_cache(maxsize=64)
def faces(frame: Frame) -> Faces:
    """The faces of an opening's frame, for all suns and skies.

    Returns: Faces; the same numbers give the same object back
    Source:  sky_view and radiosity in the reveal; the underside's view of an endless facade and of
        the ground, by Hottel's strings in the cross section
    Limits:  a face is as bright all over as in its mean; the overhang endless sideways, the ground
        under it not in its shade; the room's own wings before the window shade no reveal
    """
    bearing, height, sky, ground, before, up = _of_underside(frame)
    every = np.zeros((FACES, len(bearing)))
    every[UNDERSIDE] = sky
    sums = np.zeros((3, FACES))
    sums[:, UNDERSIDE] = ground, before, up
    if frame.pane.reveal_m <= 0:
        return _faces(frame, bearing, height, every, sums, None, np.zeros((FACES, 0)))
    patches, sent = _reveal(frame)
    view, share = _from_reveal(frame.pane, frame.skyline, frame.facing_deg, frame.street)
    weight = (sent[:, :, None] * share).reshape(FACES, -1)  # (5, points)
    own_bearing, own_height, own = binned(
        view.turned_deg, view.elevation_deg, weight[:, :, None, None] * view.sky
    )
    sums[0] += weight @ view.ground
    sums[1] += weight @ view.obstruction
    if view.up_facade is not None:
        sums[2] += weight @ view.up_facade
    if view.around is not None:
        onto = weight @ view.around[:, UNDERSIDE]
        every += onto[:, None] * sky
        sums += np.array([ground, before, up])[:, None] * onto
    return _faces(
        frame,
        np.concatenate([bearing, own_bearing]),
        np.concatenate([height, own_height]),
        np.concatenate([every, own], axis=1),
        sums,
        patches,
        sent,
    )


@held(2, 2 * MB)  # the same at every reflectance that a frame may have
def _from_reveal(
    pane: Pane,
    skyline: tuple[tuple[float, float], ...] | None,
    facing_deg: float,
    street: Street | None,
) -> tuple[SkyView, FloatArray]:
    """What points of a reveal's patches see of the outdoors, and their shares of these (p, k)."""
    patches, _ = _hollow(pane.width_m, pane.reveal_m, pane.height_m)
    points, share = patches.drawn_in(2, gauss=True)
    points = points.reshape(-1, 3) + np.array([0.0, 0.0, pane.sill_m])
    view = sky_view(
        patches.plan_m,
        _outer(pane, pane.sill_m),
        1.0,
        points,
        np.repeat(patches.normal, share.shape[1], axis=0),
        bearings=8,
        elevations=4,
        panels=3,
        skyline=skyline,
        facing_deg=facing_deg,
        street=street,
    )
    return view, share


def binned(
    bearing_deg: FloatArray, elevation_deg: FloatArray, weight: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Directions sorted into boxes of bearing and elevation, each at the mean height of what fell
    into it, so that a smooth sky is summed to second order.

    bearing_deg: (k, n);  elevation_deg: (k, n, m);  weight: (f, k, n, m)
    Returns:     (b,) bearings, (b,) elevations, (f, b) weights
    """
    box = box_of(bearing_deg, elevation_deg).ravel()
    found = np.array([added(box, part) for part in weight])
    total = np.asarray(np.sum(weight, axis=0) * elevation_deg, dtype=np.float64)
    bearing, height, _ = at_boxes(found.sum(axis=0), added(box, total))
    return bearing, height, found[:, found.sum(axis=0) > 0]


def box_of(bearing_deg: FloatArray, elevation_deg: FloatArray) -> NDArray[np.intp]:
    """(k, n, m) the box, 0 to BOXES - 1, of bearings (k, n) and elevations (k, n, m)."""
    column = np.minimum((bearing_deg % 360.0 / BIN_DEG).astype(np.intp), COLUMNS - 1)[..., None]
    row = np.clip((elevation_deg / BIN_DEG).astype(np.intp), 0, ROWS - 1)
    return np.asarray(row * COLUMNS + column)


def added(box: NDArray[np.integer[Any]], weight: FloatArray, boxes: int = BOXES) -> FloatArray:
    """(boxes,) sums of weights by the box of each."""
    return np.asarray(np.bincount(box, weight.ravel(), boxes), dtype=np.float64)


def at_boxes(
    weight: FloatArray, weight_high: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(b,) bearings, elevations and weights of the boxes into which anything fell: each in the
    middle of its bearings, and at the mean height, by weight, of what fell into it.

    weight, weight_high: (BOXES,) sums of the weights, and of each times its elevation [deg]
    """
    where = np.flatnonzero(weight > 0)
    return (
        np.asarray((where % COLUMNS + 0.5) * BIN_DEG, dtype=np.float64),
        np.asarray(weight_high[where] / weight[where], dtype=np.float64),
        weight[where],
    )


def _faces(
    frame: Frame,
    bearing: FloatArray,
    height: FloatArray,
    sky: FloatArray,
    sums: FloatArray,
    patches: Patches | None,
    sent: FloatArray,
) -> Faces:
    up = sums[2] if frame.street is not None else None
    return Faces(frame, bearing, height, sky, sums[0], sums[1], up, patches, sent)


def _outer(pane: Pane, sill_m: float) -> Pane:
    """The opening in the face of the wall, as the only wall with a window of the little room."""
    return Pane(
        0, 0.0, sill_m, pane.width_m, pane.height_m, 0.0, pane.overhang_m, pane.overhang_gap_m
    )


@lru_cache(maxsize=64)
def _reveal(frame: Frame) -> tuple[Patches, FloatArray]:
    """The patches of a reveal, and (5, p) the luminance of its faces for each lux on a patch."""
    pane = frame.pane
    patches, factors = _hollow(pane.width_m, pane.reveal_m, pane.height_m)
    rho = np.array([0.0, frame.reveal, frame.glass, *[frame.reveal] * 3])[patches.flat]
    exitance = np.linalg.solve(np.eye(len(rho)) - rho[:, None] * factors, np.diag(rho))
    sent = np.zeros((FACES, len(rho)))
    for flat, face in FLATS.items():
        own = patches.flat == flat
        sent[face] = patches.area_m2[own] @ exitance[own] / patches.area_m2[own].sum() / np.pi
    return patches, sent


@lru_cache(maxsize=32)
def _hollow(width_m: float, deep_m: float, high_m: float) -> tuple[Patches, FloatArray]:
    """The patches of a reveal and their form factors, whatever its sides and its glass reflect."""
    plan = ((0.0, deep_m), (width_m, deep_m), (width_m, 0.0), (0.0, 0.0))
    patches = cut(plan, high_m, (), max(deep_m / 2.0, max(width_m, high_m) / FINEST), ())
    return patches, form_factors(patches)


@lru_cache(maxsize=64)
def _by_underside(frame: Frame) -> FloatArray:
    """(5,) luminance of the reveal's faces for each of the underside's."""
    if frame.pane.reveal_m <= 0 or frame.pane.overhang_m <= 0:
        return np.zeros(FACES)
    patches, sent = _reveal(frame)
    points, share = patches.drawn_in(2, gauss=True)
    view = sky_view(
        patches.plan_m,
        _outer(frame.pane, 0.0),
        1.0,
        points.reshape(-1, 3),
        np.repeat(patches.normal, share.shape[1], axis=0),
        bearings=8,
        elevations=4,
        panels=3,
    )
    assert view.around is not None
    return np.asarray((sent[:, :, None] * share).reshape(FACES, -1) @ view.around[:, UNDERSIDE])


def _facade_below(frame: Frame, from_m: FloatArray) -> FloatArray:
    """How much an overhang's underside sees, in its mean, of the facade from so far beneath it down
    to the ground: half of all where it is endless.
    """
    out = frame.pane.overhang_m
    drop = frame.drop_m + frame.pane.height_m + frame.pane.overhang_gap_m

    def upward(depth_m: FloatArray | float) -> FloatArray:
        return np.asarray((np.sqrt(out**2 + np.square(depth_m)) - depth_m) / (2.0 * out))

    return np.maximum(upward(from_m) - upward(max(drop, 0.1)), 0.0)


def _of_underside(
    frame: Frame,
) -> tuple[FloatArray, FloatArray, FloatArray, float, float, float]:
    """Directions to the sky that lights the facade under the overhang, their weights for the
    underside, and those of ground, things before the sky, and these by how far up they lie.
    """
    if frame.pane.overhang_m <= 0 or frame.underside <= 0:
        return np.zeros(0), np.zeros(0), np.zeros(0), 0.0, 0.0, 0.0
    steps = np.arange(-90.0 + BIN_DEG / 2, 90.0, BIN_DEG)
    across, up = (axis.ravel() for axis in np.meshgrid(steps, steps[steps > 0]))
    g, h = np.radians(across), np.radians(up)
    facing = np.cos(g) * np.cos(h)
    solid = np.cos(h) * np.radians(BIN_DEG) ** 2
    shaded = frame.pane.overhang_m * np.sin(h) / facing
    by_facade = frame.underside * frame.facade / np.pi
    sky = by_facade * facing * solid * _facade_below(frame, shaded)
    half = float(_facade_below(frame, np.zeros(1))[0])
    ground = frame.underside * (1.0 - half) + by_facade * half * np.pi / 2.0
    stands = np.zeros_like(up)
    if frame.skyline is not None:
        stands = np.maximum(skyline_deg(frame.skyline, frame.facing_deg + across), 0.0)
    hidden = up < stands
    before = float(sky[hidden].sum())
    open_sky = np.where(hidden, 0.0, sky)
    return across, up, open_sky, ground, before, before / 2.0
