"""Daylight on planes inside a room by where it comes from, so that each part can be given its own
colour: sky, ground, sun.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.daylight.mark.patch_views import PatchViews
from scout.calc.daylight.outside.sky import (
    CLEAR,
    OVERCAST,
    clear_spread,
    direct_normal_lux,
    sky_lux,
)
from scout.calc.daylight.sun.position import towards
from scout.calc.daylight.window.beam import beam_hits, nearest_patch, reaches
from scout.calc.daylight.window.frame import Faces
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg, shining, view_through
from scout.calc.daylight.window.overcast import outside_share
from scout.calc.daylight.window.pane import wings_of
from scout.calc.daylight.window.sky_view import Outlook, SkyView
from scout.calc.geometry import FloatArray
from scout.errors import OutOfRange
from scout.values import said

PANELS, BEARINGS, ELEVATIONS = (
    8,
    16,
    8,
)  # a plane that is not level may cut a window, where the view has a corner


@dataclass(frozen=True)
class Sun:
    """Where the sun stands (true bearing) and its light outside the air, square on [lux]."""

    azimuth_deg: float
    elevation_deg: float
    outside_lux: float


@dataclass(frozen=True)
class Entering:
    """(k,) lux straight from outdoors on k planes, by origin. Ground and what stands before the sky
    are lit by the sky or by the sun.
    """

    sky: FloatArray
    sky_by_ground: FloatArray
    sun_by_ground: FloatArray
    sun: FloatArray

    @property
    def total(self) -> FloatArray:
        """(k,) all of it."""
        return self.sky + self.sky_by_ground + self.sun_by_ground + self.sun


def overcast_on(
    views: Sequence[Outlook], glazing: tuple[Glazing, ...], sun: Sun, ground_reflectance: float
) -> Entering:
    """Light of an overcast sky, its level by the sun's height; views: of the planes, a pane each.
    Source: sky.py.
    """
    level = float(sky_lux(sun.elevation_deg, OVERCAST))
    sky, outside = np.zeros(len(views[0].ground)), np.zeros(len(views[0].ground))
    for view, glass in zip(views, glazing, strict=True):
        sky += glass.passes * level * view.overcast()
        outside += glass.passes * level * outside_share(view, ground_reflectance, glass) / np.pi
    return Entering(sky, outside, np.zeros(len(sky)), np.zeros(len(sky)))


def clear_on(
    views: Sequence[Outlook],
    glazing: tuple[Glazing, ...],
    sun: Sun,
    ground_reflectance: float,
    beam: FloatArray,
) -> Entering:
    """Light of a clear sky and of what it and the sun light outdoors. beam: (k,) the sun's own, as
    beam_on or landed_beam; every pane has its facing.

    Source: CIE clear sky type 12, IES availability (sky.py); what stands before the sky is lit
        by half the sky and the ground
    """
    by_sky = float(sky_lux(sun.elevation_deg, CLEAR))
    by_sun = float(direct_normal_lux(sun.elevation_deg, sun.outside_lux)) * float(
        np.sin(np.radians(max(sun.elevation_deg, 0.0)))
    )
    rho = ground_reflectance
    sky, sky_ground, sun_ground = (np.zeros(len(beam)) for _ in range(3))
    for view, glass in zip(views, glazing, strict=True):
        seen = view.clear(glass.facing_deg or 0.0, sun.elevation_deg, sun.azimuth_deg)
        sky += glass.passes * by_sky * seen
        framed, around = glass.framed, view.around
        for lit, level_lux, by_whom in ((sky_ground, by_sky, True), (sun_ground, by_sun, False)):
            lit += glass.passes * _sent(view, glass, sun, rho, level_lux, by_sky=by_whom) / np.pi
            if framed is not None and around is not None:
                luminance = _sent(framed, glass, sun, rho, level_lux, by_sky=by_whom) / np.pi
                lit += glass.passes * (around @ luminance)
        if framed is not None and around is not None:
            own = clear_spread(
                framed.elevation_deg,
                framed.turned_deg + (glass.facing_deg or 0.0),
                sun.elevation_deg,
                sun.azimuth_deg,
            )
            sky += glass.passes * by_sky * (around @ (framed.sky @ own))
            if (sun_on := _shining(glass, sun)) is not None:
                normal = float(direct_normal_lux(sun.elevation_deg, sun.outside_lux))
                lands = framed.sun(np.array([sun_on[0]]), np.array([sun.elevation_deg]))[0]
                sun_ground += glass.passes * normal * (around @ lands)
    return Entering(sky, sky_ground, sun_ground, beam)


def _sent(
    view: Outlook | Faces, glass: Glazing, sun: Sun, rho: float, level_lux: float, *, by_sky: bool
) -> FloatArray:
    """(k,) what the ground and the facades before a pane send through it, times pi, lit by a clear
    sky or by the sun alone.
    """
    if glass.street is None or view.up_facade is None:
        half = 0.5 * level_lux if by_sky else 0.0
        facade = rho * (half + 0.5 * rho * level_lux)
        return np.asarray(view.ground * rho * level_lux + view.obstruction * facade)
    turned, height = np.array([sun.azimuth_deg - (glass.facing_deg or 0.0)]), sun.elevation_deg
    normal = 0.0 if by_sky else float(direct_normal_lux(height, sun.outside_lux))
    ground, foot, rise = glass.street.clear(
        rho, turned, np.array([height]), np.array([normal]), sky=by_sky
    )
    return np.asarray(view.ground * ground + view.obstruction * foot + view.up_facade * rise)


def views_of(ready: PatchViews, at_m: FloatArray, normal: FloatArray) -> tuple[SkyView, ...]:
    """What k small planes, (k, 3) places and unit normals, see of the outdoors: a view a pane."""
    plan = ready.room.patches.plan_m
    found = []
    for glass in ready.glazing:
        wings = wings_of(_corners(plan), glass.pane.wall, ready.room.patches.height_m)
        found.append(
            view_through(
                plan,
                glass,
                wings,
                at_m,
                normal,
                BEARINGS,
                ELEVATIONS,
                PANELS,
                ready.room.patches.boxes,
            )
        )
    return tuple(found)


def beam_on(
    ready: PatchViews, views: tuple[SkyView, ...], at_m: FloatArray, normal: FloatArray, sun: Sun
) -> FloatArray:
    """(k,) lux the sun puts on small planes: straight through bare panes, and as the glow of
    coverings that scatter it.
    """
    total = np.zeros(len(at_m))
    patches = ready.room.patches
    plan, height_m, boxes = patches.plan_m, patches.height_m, patches.boxes
    for glass, view in zip(ready.glazing, views, strict=True):
        sun_on = _shining(glass, sun)
        if sun_on is None:
            continue
        g, cosine, passed = sun_on
        wings = wings_of(_corners(plan), glass.pane.wall, height_m)
        g_up, h_up = np.array([g]), np.array([sun.elevation_deg])
        if glass.spreads:
            area = float(
                beam_hits(plan, height_m, glass.pane, g_up, h_up, wings=wings).area_m2.sum()
            )
            total += (
                passed
                * cosine
                * area
                / (glass.pane.width_m * glass.pane.height_m)
                / np.pi
                * view.bare
            )
            continue
        way = towards(sun.elevation_deg, sun.azimuth_deg - _turn_deg(plan, glass))
        for number, (place, looks) in enumerate(zip(at_m, normal, strict=True)):
            if float(way @ looks) > 0 and bool(
                reaches(plan, glass.pane, place, g_up, h_up, wings, boxes)[0]
            ):
                total[number] += passed * float(way @ looks)
    return total


def landed_beam(ready: PatchViews, sun: Sun) -> FloatArray:
    """(p,) mean lux the sun puts on each patch, by rays through the bare panes, each to the patch
    nearest to where it lands.
    """
    patches = ready.room.patches
    lumens = np.zeros(len(patches.area_m2))
    plan = patches.plan_m
    glow = np.zeros(len(lumens))
    for glass, view in zip(ready.glazing, ready.views, strict=True):
        sun_on = _shining(glass, sun)
        if sun_on is None:
            continue
        g, cosine, passed = sun_on
        wings = wings_of(_corners(plan), glass.pane.wall, patches.height_m)
        hits = beam_hits(
            plan,
            patches.height_m,
            glass.pane,
            np.array([g]),
            np.array([sun.elevation_deg]),
            per_side=16,
            wings=wings,
            boxes=patches.boxes,
        )
        if glass.spreads:
            area = float(hits.area_m2.sum()) / (glass.pane.width_m * glass.pane.height_m)
            glow += passed * cosine * area / np.pi * view.bare
            continue
        to = nearest_patch(patches.centre_m, patches.flat, hits.point_m, hits.surface)
        np.add.at(lumens, to[0], hits.area_m2[0] * cosine * passed)
    return np.asarray(lumens / patches.area_m2 + glow)


def _shining(glass: Glazing, sun: Sun) -> tuple[float, float, float] | None:
    """Bearing of the sun from square on, cosine of incidence, lux passed square to the sun; None
    when it does not shine on the pane.
    """
    if glass.facing_deg is None:
        raise OutOfRange("facing_deg", None, said("refusal.sun.bearing_for_sun"))
    if sun.elevation_deg <= 0:
        return None
    height = np.array([sun.elevation_deg])
    normal = direct_normal_lux(height, sun.outside_lux)
    found = shining(glass, np.array([sun.azimuth_deg]), height, normal)
    if found is None:
        return None
    _, g, _, cosine, passed = found
    return float(g[0]), float(cosine[0]), float(passed[0])


def _turn_deg(plan: FloatArray, glass: Glazing) -> float:
    """What makes a bearing from the plan's y axis a true one."""
    return (glass.facing_deg or 0.0) - plan_bearing_deg(plan, glass.pane.wall)


def _corners(plan: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in plan)
