"""How light from outdoors reaches a mark: straight through the windows, and by way of every surface
of the room.

Everything is linear in the luminance outdoors, so a room is worked out once, as weights by
direction; any sky and any
hour of it is then one sum. What goes by the surfaces is solved backwards, from the mark to the
patches (radiosity), and
from there to the directions each patch sees.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.outside.sky import overcast_spread
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import Street
from scout.calc.daylight.sun.position import towards
from scout.calc.daylight.window.beam import beam_hits, nearest_patch, reaches
from scout.calc.daylight.window.frame import BOXES, Faces, Frame, added, at_boxes, box_of, faces
from scout.calc.daylight.window.glass import diffuse_reflectance, transmitted
from scout.calc.daylight.window.pane import Pane, Wings, wings_of
from scout.calc.daylight.window.sky_view import SkyView, sky_view
from scout.calc.geometry import FloatArray, plan_area_m2, require, walls
from scout.calc.held import MB, held
from scout.calc.quadrature import gauss_legendre
from scout.calc.radiosity import Box, Enclosure, Opening, at_point, enclosure, importance
from scout.errors import OutOfRange
from scout.values import said

PATCH_M, MOST_PATCHES = 0.5, 650.0
MOST_HELD = 64  # suns of a pane whose rays are held: two megabytes a room at the most
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Glazing:
    """A window's glass with what hangs in it. passes: share that the covering lets through;
    spreads: whether it scatters the sun.

    transmittance: of the whole glazing square on;  panes: 1, or 2 with air between
    reveal, underside, facade: what the sides of the opening outside, the underside of its overhang
        and the wall beneath that reflect;  drop_m: of the sill above the ground outdoors
    """

    id: str
    pane: Pane
    transmittance: float
    passes: float = 1.0
    spreads: bool = False
    skyline: tuple[tuple[float, float], ...] | None = None
    facing_deg: float | None = (
        None  # true bearing of the outward normal; needed for a skyline and for the sun
    )
    panes: int = 1
    street: Street | None = None  # what the skyline before it is made of
    reveal: float = 0.0
    underside: float = 0.0
    facade: float = 0.0
    drop_m: float = 1.0

    @property
    def framed(self) -> Faces | None:
        """What frames the opening outside, where that throws light."""
        pane = self.pane
        if (pane.reveal_m <= 0 or self.reveal <= 0) and (
            pane.overhang_m <= 0 or self.underside <= 0
        ):
            return None
        return faces(
            Frame(
                replace(pane, wall=0, offset_m=0.0),
                self.reveal,
                self.underside,
                self.facade,
                diffuse_reflectance(self.transmittance, self.panes),
                self.drop_m,
                self.skyline,
                self.facing_deg or 0.0,
                self.street,
            )
        )


@dataclass(frozen=True)
class OfStreet:
    """The weights of the ground and the facades of a street that a pane looks into, and where it
    faces.
    """

    street: Street
    facing_deg: float
    ground: float
    facade: float
    up_facade: float  # the same, each part by how far up it lies


@dataclass(frozen=True)
class Weights:
    """Weights by direction: weight x luminance outdoors [cd/m2] = illuminance at the mark [lux]."""

    bearing_deg: FloatArray  # (n,) clockwise from the plan's y axis
    elevation_deg: FloatArray  # (n,)
    sky: FloatArray  # (n,)
    ground: float
    obstruction: float
    spreading: FloatArray  # (panes,) weight of each pane as a diffuser of uniform luminance
    streets: tuple[OfStreet, ...] = ()  # of panes that look into one, instead of the two above
    # of each pane (5,): weights of what frames it, for the sun that lands there; what sky and
    # ground land there is in the weights above
    framing: tuple[FloatArray, ...] = ()

    def overcast(self, ground_reflectance: float) -> float:
        """Illuminance for each lux of an overcast sky's horizontal light, ground and obstructions
        of one reflectance.
        """
        elsewhere = self.ground * ground_reflectance + self.obstruction * facade_share(
            ground_reflectance
        )
        for part in self.streets:
            ground, foot, rise = part.street.overcast(ground_reflectance)
            elsewhere += part.ground * ground + part.facade * foot + part.up_facade * rise
        return self.overcast_sky + elsewhere / np.pi

    @property
    def overcast_sky(self) -> float:
        """Of that, what comes straight from the sky."""
        return float(self.sky @ overcast_spread(self.elevation_deg))


VERTICAL_OVERCAST = float(
    (np.pi / 6 + 4 / 9) / (7 * np.pi / 9)
)  # 39.62 %: a vertical plane before an overcast sky, from its luminance


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
    def _held(self) -> dict[tuple[int, bytes, bytes], tuple[FloatArray, NDArray[np.intp] | None]]:
        return {}

    def landed(
        self, number: int, g_deg: FloatArray, h_deg: FloatArray
    ) -> tuple[FloatArray, NDArray[np.intp] | None]:
        """(t, k) the glass that each ray through a pane stands for, and the patch it lands on, where
        there are patches; as beam_hits. Held, since all marks and planes ask for the same suns.
        """
        asked = number, g_deg.tobytes(), h_deg.tobytes()
        found = self._held.get(asked)
        if found is None:
            pane = self.glazing[number].pane
            hits = beam_hits(
                self.plan_m,
                self.height_m,
                pane,
                g_deg,
                h_deg,
                wings=wings_of(self.plan_m, pane.wall, self.height_m),
                boxes=self.boxes,
            )
            to = None
            if self.patch_centre_m is not None and self.patch_flat is not None:
                to = nearest_patch(self.patch_centre_m, self.patch_flat, hits.point_m, hits.surface)
            if len(self._held) >= MOST_HELD:
                self._held.clear()
            found = self._held[asked] = hits.area_m2, to
        return found


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
    seen = [_from_marks(plan_m, height_m, glass, marks_m, normals, boxes) for glass in glazing]
    direct = [
        _joined([_of_one(view, k, plan, glass) for view, glass in zip(seen, glazing, strict=True)])
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
    found = []
    for mark, weights, place, way in zip(marks_m, direct, at, ways, strict=True):
        sent = (
            importance(ready.room.factors, area, rho, at_point(patches, place, way)) * rho
        )  # lux at the mark for each lux on a patch
        reflected = _joined(
            [
                _gathered(view, sent, plan, glass)
                for view, glass in zip(ready.sorted, glazing, strict=True)
            ]
        )
        found.append(MarkLight(mark, weights, reflected, sent / area, _triple(way)))
    return RoomLight(tuple(found), patches.centre_m, patches.flat, glazing, plan_m, height_m, boxes)


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


def sorted_view(view: SkyView, share: FloatArray, turn_deg: float) -> SortedView:
    """A view of points, so many (p, k) a patch with their shares of it, patch by patch and sorted.

    turn_deg: what is added to the view's bearings before they are sorted
    """

    def of_patches(per_point: FloatArray | None) -> FloatArray:
        if per_point is None:
            return np.zeros(len(share))
        return np.asarray(np.sum(per_point.reshape(share.shape) * share, axis=1))

    sees = np.flatnonzero(view.sky.any(axis=(1, 2)))  # of many walls few look out of one window
    box = box_of(view.turned_deg[sees] + turn_deg, view.elevation_deg[sees])
    sky = view.sky[sees] * share.ravel()[sees, None, None]
    seeing, row = np.unique(sees // share.shape[1], return_inverse=True)
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


@dataclass(frozen=True)
class PatchViews:
    """A room's patches, and what the points of each see of the outdoors through every pane."""

    room: Enclosure
    glazing: tuple[Glazing, ...]
    doors: int
    share: FloatArray  # (p, k) of each point in its patch
    views: tuple[SkyView, ...]  # a pane each; planes are points, patch by patch

    @cached_property
    def sorted(self) -> tuple[SortedView, ...]:
        """The views, a pane each, ready to be summed for any mark."""
        plan = self.room.patches.plan_m
        return tuple(
            sorted_view(view, self.share, _plan_bearing_deg(plan, glass.pane.wall))
            for view, glass in zip(self.views, self.glazing, strict=True)
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
        total = np.zeros(self.share.shape)
        for view, glass in zip(self.views, self.glazing, strict=True):
            through = overcast_through(view, ground_reflectance, glass)
            total += through.reshape(self.share.shape) * glass.passes
        return np.asarray(np.sum(total * self.share, axis=1))


def overcast_through(view: SkyView, ground_reflectance: float, glass: Glazing) -> FloatArray:
    """(k,) light through a pane for each lux of an overcast sky outdoors; what stands before the
    sky reflects as the ground does, unless it is known what street it is.
    """
    sky = np.sum(view.sky * overcast_spread(view.elevation_deg), axis=(1, 2))
    return np.asarray(sky + outside_share(view, ground_reflectance, glass) / np.pi)


def outside_share(view: SkyView, ground_reflectance: float, glass: Glazing) -> FloatArray:
    """(k,) what the ground, things before the sky and the pane's frame send through it, times pi,
    for each lux of an overcast sky.
    """
    sent = _elsewhere(view, ground_reflectance, glass.street)
    if view.around is None or (framed := glass.framed) is None:
        return sent
    by_sky = framed.sky @ overcast_spread(framed.elevation_deg)
    luminance = by_sky + _elsewhere(framed, ground_reflectance, glass.street) / np.pi
    return np.asarray(sent + np.pi * (view.around @ luminance))


def _elsewhere(
    view: SkyView | Faces, ground_reflectance: float, street: Street | None
) -> FloatArray:
    if street is None or view.up_facade is None:
        return np.asarray(
            view.ground * ground_reflectance + view.obstruction * facade_share(ground_reflectance)
        )
    ground, foot, rise = street.overcast(ground_reflectance)
    return np.asarray(view.ground * ground + view.obstruction * foot + view.up_facade * rise)


def facade_share(ground_reflectance: float) -> float:
    """What a facade of the ground's reflectance sends for each lux of an overcast sky outdoors
    [lm/m2 per lux].
    """
    return ground_reflectance * (VERTICAL_OVERCAST + 0.5 * ground_reflectance)


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
    inwards = np.repeat(room.patches.normal, points.shape[1], axis=0)
    views = []
    for glass in glazing:
        wing = wings_of(plan_m, glass.pane.wall, height_m)
        views.append(
            _view(
                plan,
                glass,
                wing,
                points.reshape(-1, 3),
                inwards,
                8,
                4,
                3 if wing or glass.skyline is not None else 1,
                boxes,
            )
        )
    return PatchViews(room, glazing, len(doors), share, tuple(views))


def sun_lux(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """What the sun itself brings to a mark: straight, by way of the surfaces, and whether it is
    lit.

    azimuth_deg, elevation_deg, normal_lux: (t,) the sun where it is up, and its light square on
        [lux]
    Returns: (t,) lux straight, on the mark's own plane; (t,) lux by the surfaces, 0 when the
        reflectances are not measured;
             (t,) whether the sun reaches the mark, whichever way its plane looks
    """
    straight, lit = sun_beam(room, mark, azimuth_deg, elevation_deg, normal_lux)
    glowing, round_about = _scattered(room, mark, azimuth_deg, elevation_deg, normal_lux)
    return straight + glowing, round_about, lit


def sun_scattered(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> FloatArray:
    """(t,) lux of the sun by way of surfaces and of coverings that scatter it; arguments as for
    sun_lux.
    """
    glowing, round_about = _scattered(room, mark, azimuth_deg, elevation_deg, normal_lux)
    return glowing + round_about


def _scattered(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """(t,) lux straight from coverings that glow, and (t,) lux by the surfaces."""
    glowing, round_about = np.zeros(len(azimuth_deg)), np.zeros(len(azimuth_deg))
    for number, glass in enumerate(room.glazing):
        framed = glass.framed
        if not glass.spreads and mark.gain is None and framed is None:
            continue
        shining = _shining(glass, azimuth_deg, elevation_deg, normal_lux)
        if shining is None:
            continue
        index, g_up, h_up, cos_up, passed = shining
        if framed is not None:
            luminance = framed.sun(g_up, h_up) * normal_lux[index][:, None]
            glowing[index] += luminance @ mark.direct.framing[number]
            if mark.reflected is not None:
                round_about[index] += luminance @ mark.reflected.framing[number]
        if not glass.spreads and mark.gain is None:
            continue
        area_m2, to = room.landed(number, g_up, h_up)
        if (
            glass.spreads
        ):  # the covering glows: the light that falls on it leaves evenly from the whole pane
            luminance = (
                passed
                * cos_up
                * area_m2.sum(axis=1)
                / (glass.pane.width_m * glass.pane.height_m)
                / np.pi
            )
            glowing[index] += luminance * mark.direct.spreading[number]
            if mark.reflected is not None:
                round_about[index] += luminance * mark.reflected.spreading[number]
        elif mark.gain is not None:
            lumens = area_m2 * (passed * cos_up)[:, None]
            assert to is not None
            round_about[index] += np.sum(lumens * mark.gain[to], axis=1)
    return glowing, round_about


def sun_beam(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(t,) lux of the unscattered sun on the mark's plane, and whether it reaches the mark;
    arguments as for sun_lux.
    """
    straight, lit = np.zeros(len(azimuth_deg)), np.zeros(len(azimuth_deg), dtype=bool)
    for glass in room.glazing:
        shining = None if glass.spreads else _shining(glass, azimuth_deg, elevation_deg, normal_lux)
        if shining is None:
            continue
        index, g_up, h_up, _, passed = shining
        here = reaches(
            room.plan_m,
            glass.pane,
            mark.at_m,
            g_up,
            h_up,
            wings_of(room.plan_m, glass.pane.wall, room.height_m),
            room.boxes,
        )
        turn = (glass.facing_deg or 0.0) - _plan_bearing_deg(np.array(room.plan_m), glass.pane.wall)
        onto = np.maximum(towards(h_up, azimuth_deg[index] - turn) @ np.array(mark.normal), 0.0)
        straight[index] += np.where(here, passed * onto, 0.0)
        lit[index] |= here
    return straight, lit


def _shining(
    glass: Glazing, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
) -> tuple[NDArray[np.intp], FloatArray, FloatArray, FloatArray, FloatArray] | None:
    """At which instants the sun shines on a pane from outside, and there: g, h, cosine of
    incidence, lux passed square to the sun.
    """
    if glass.facing_deg is None or glass.passes <= 0:
        return None
    g = (azimuth_deg - glass.facing_deg + 180.0) % 360.0 - 180.0
    cosine = np.cos(np.radians(g)) * np.cos(np.radians(elevation_deg))
    shines = cosine > 0
    if glass.skyline is not None:
        shines &= elevation_deg > skyline_deg(glass.skyline, azimuth_deg)
    index = np.flatnonzero(shines)
    if not len(index):
        return None
    passed = (
        normal_lux[index]
        * transmitted(glass.transmittance, cosine[index], glass.panes)
        * glass.passes
    )
    return index, g[index], elevation_deg[index], cosine[index], passed


def open_ground(
    skyline: tuple[tuple[float, float], ...] | None,
    looks: tuple[float, float, float] = (0.0, 0.0, 1.0),
) -> Weights:
    """The weights of the whole sky on a plane outdoors, above a skyline.

    looks: unit normal of the plane, x east, y north, z up; bearings of the weights are true
    """
    bearing = np.arange(0.5, 360.0)
    stands = (
        np.zeros_like(bearing)
        if skyline is None
        else np.maximum(skyline_deg(skyline, bearing), 0.0)
    )
    start = np.radians(stands)[:, None]
    gamma, weight = _band(bearing, start, np.full_like(start, np.pi / 2), looks)
    _, before = _band(bearing, np.zeros_like(start), start, looks)
    ground = float(np.pi * (1.0 - looks[2]) / 2.0)  # a plane's view of the endless level ground
    return Weights(
        np.repeat(bearing, gamma.shape[1]),
        np.degrees(gamma).ravel(),
        weight.ravel(),
        ground,
        float(before.sum()),
        np.zeros(0),
    )


def _band(
    bearing_deg: FloatArray, low: FloatArray, high: FloatArray, looks: tuple[float, float, float]
) -> tuple[FloatArray, FloatArray]:
    """(n, m) elevations [rad] between low and high (n, 1) in each degree of bearing, and their
    weights on a plane.
    """
    node, share = gauss_legendre(12)
    gamma = low + (high - low) * (node + 1.0) / 2.0
    way = np.radians(bearing_deg)[:, None]
    cosine = np.maximum(
        (looks[0] * np.sin(way) + looks[1] * np.cos(way)) * np.cos(gamma)
        + looks[2] * np.sin(gamma),
        0.0,
    )
    return gamma, cosine * np.cos(gamma) * (high - low) * share / 2.0 * np.radians(1.0)


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
    return _view(np.array(plan_m), glass, wing, at, _unit(normals, len(at)), 16, 8, panels, boxes)


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


def _opening(glass: Glazing) -> Opening:
    pane = glass.pane
    return glass.id, pane.wall, pane.offset_m, pane.sill_m, pane.width_m, pane.height_m


def _patch_m(plan: FloatArray, height_m: float) -> float:
    around = float(np.sum(np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)))
    area = 2.0 * plan_area_m2(plan) + height_m * around
    return round(max(PATCH_M, float(np.sqrt(area / MOST_PATCHES))), 3)


def _view(
    plan: FloatArray,
    glass: Glazing,
    wings: Wings,
    at: FloatArray,
    normal: FloatArray,
    bearings: int,
    elevations: int,
    panels: int,
    boxes: tuple[Box, ...],
) -> SkyView:
    if glass.skyline is not None and glass.facing_deg is None:
        raise OutOfRange("facing_deg", None, said("refusal.sun.bearing_for_skyline"))
    return sky_view(
        plan,
        glass.pane,
        glass.transmittance,
        at,
        normal,
        bearings=bearings,
        elevations=elevations,
        panels=panels,
        skyline=glass.skyline,
        facing_deg=glass.facing_deg or 0.0,
        wings=wings or None,
        panes=glass.panes,
        boxes=boxes,
        street=glass.street,
    )


def _plan_bearing_deg(plan: FloatArray, wall: int) -> float:
    outward = walls(plan)[wall].outward
    return float(np.degrees(np.arctan2(outward[0], outward[1])))


def _of_one(view: SkyView, k: int, plan: FloatArray, glass: Glazing) -> Weights:
    bearing = np.broadcast_to(
        view.turned_deg[k][:, None], view.elevation_deg[k].shape
    ) + _plan_bearing_deg(plan, glass.pane.wall)
    p = glass.passes
    return _outside(
        plan,
        glass,
        bearing.ravel(),
        view.elevation_deg[k].ravel(),
        p * view.sky[k].ravel(),
        p * float(view.ground[k]),
        p * float(view.obstruction[k]),
        float(view.bare[k]),
        0.0 if view.up_facade is None else p * float(view.up_facade[k]),
        np.zeros(5) if view.around is None else p * view.around[k],
    )


def _outside(
    plan: FloatArray,
    glass: Glazing,
    bearing_deg: FloatArray,
    elevation_deg: FloatArray,
    sky: FloatArray,
    ground: float,
    before: float,
    bare: float,
    up_facade: float,
    around: FloatArray,
) -> Weights:
    """The weights of one pane, its frame's among them; a street's ground and facades stand by
    themselves.
    """
    framed = glass.framed
    if framed is not None:
        turn = _plan_bearing_deg(plan, glass.pane.wall)
        bearing_deg = np.concatenate([bearing_deg, framed.turned_deg + turn])
        elevation_deg = np.concatenate([elevation_deg, framed.elevation_deg])
        sky = np.concatenate([sky, around @ framed.sky])
        ground += float(around @ framed.ground)
        before += float(around @ framed.obstruction)
        up_facade += 0.0 if framed.up_facade is None else float(around @ framed.up_facade)
    spreading = np.array([bare])
    if glass.street is None:
        return Weights(bearing_deg, elevation_deg, sky, ground, before, spreading, (), (around,))
    part = OfStreet(glass.street, glass.facing_deg or 0.0, ground, before, up_facade)
    return Weights(bearing_deg, elevation_deg, sky, 0.0, 0.0, spreading, (part,), (around,))


def _gathered(view: SortedView, sent: FloatArray, plan: FloatArray, glass: Glazing) -> Weights:
    """What all patches see, each by its weight for the mark."""
    p = glass.passes
    bearing, height, sky = view.summed(sent)
    return _outside(
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


def _joined(parts: list[Weights]) -> Weights:
    if not parts:
        none = np.zeros(0)
        return Weights(none, none, none, 0.0, 0.0, none)
    return Weights(
        np.concatenate([part.bearing_deg for part in parts]),
        np.concatenate([part.elevation_deg for part in parts]),
        np.concatenate([part.sky for part in parts]),
        sum(part.ground for part in parts),
        sum(part.obstruction for part in parts),
        np.concatenate([part.spreading for part in parts]),
        tuple(one for part in parts for one in part.streets),
        tuple(one for part in parts for one in part.framing),
    )
