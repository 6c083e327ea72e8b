"""A room written out for Radiance, and its light read back: a path tracer made by others, sharing
nothing with ours.
"""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import pyradiance
from numpy.typing import NDArray

from scout.calc.daylight.outside.sky import CLEAR, TYPE_12, direct_normal_lux, sky_lux
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.overcast import facade_share
from scout.calc.geometry import Wall, walls
from scout.calc.radiosity import Box

BINARIES = Path(pyradiance.__file__).parent / "bin"


@dataclass(frozen=True)
class TracedRoom:
    """Open holes in thin walls; y is north. A reveal stands out before the wall, and a facade of its
    own at the end of it where one is asked for; an overhang is a slab 60 m wide, a skyline stands at
    the end of the world.

    A pane's street is built, 400 m long; the skyline is then left out. boxes: of these reflectances.
    sun: azimuth and elevation of a clear day's, whose light is then in
    lux; without one the sky is overcast and the light for each lux of it.
    """

    plan_m: tuple[tuple[float, float], ...]
    height_m: float
    glazing: tuple[Glazing, ...]
    reflectance: tuple[float, ...]
    ground: float
    boxes: tuple[Box, ...] = ()
    box_reflectance: tuple[float, ...] = ()
    sun: tuple[float, float] | None = None

    def scene(self) -> str:
        """The Radiance scene."""
        plan_walls, text = walls(self.plan_m), []
        for number, rho in enumerate(self.reflectance):
            text.append(f"void plastic m{number} 0 0 5 {rho} {rho} {rho} 0 0")
        for number, wall in enumerate(plan_walls):
            holes = [glass.pane for glass in self.glazing if glass.pane.wall == number]
            us = sorted(
                {
                    0.0,
                    wall.length_m,
                    *(p.offset_m for p in holes),
                    *(p.offset_m + p.width_m for p in holes),
                }
            )
            zs = sorted(
                {0.0, self.height_m, *(p.sill_m for p in holes), *(p.head_m for p in holes)}
            )
            for i in range(len(us) - 1):
                for j in range(len(zs) - 1):
                    u, z = (us[i] + us[i + 1]) / 2, (zs[j] + zs[j + 1]) / 2
                    if any(
                        p.offset_m < u < p.offset_m + p.width_m and p.sill_m < z < p.head_m
                        for p in holes
                    ):
                        continue
                    corners = [
                        wall.point(a, b)
                        for a, b in (
                            (us[i], zs[j]),
                            (us[i + 1], zs[j]),
                            (us[i + 1], zs[j + 1]),
                            (us[i], zs[j + 1]),
                        )
                    ]
                    text.append(_polygon(f"m{number}", f"w{number}_{i}_{j}", corners))
            for k, glass in enumerate(self.glazing):
                if glass.pane.wall == number:
                    text += self._frame(wall, glass, k)
        for name, level, number in (
            ("floor", 0.0, len(plan_walls)),
            ("ceiling", self.height_m, len(plan_walls) + 1),
        ):
            text.append(
                _polygon(f"m{number}", name, [np.array([x, y, level]) for x, y in self.plan_m])
            )
        for k, (box, rho) in enumerate(zip(self.boxes, self.box_reflectance, strict=True)):
            text.append(f"void plastic b{k} 0 0 5 {rho} {rho} {rho} 0 0")
            cells, _, face = box.faces(100.0)
            text += [
                _polygon(f"b{k}", f"box{k}_{number}", list(corners))
                for number, corners in zip(face, cells, strict=True)
            ]
        text += self._street()
        if self.sun is not None:
            azimuth, height = np.radians(self.sun)
            normal = float(direct_normal_lux(self.sun[1]))
            bright = normal / (np.pi * np.radians(0.533 / 2) ** 2)
            way = (
                np.sin(azimuth) * np.cos(height),
                np.cos(azimuth) * np.cos(height),
                np.sin(height),
            )
            text.append(f"void light sunny 0 0 3 {bright} {bright} {bright}")
            text.append(
                "sunny source sun 0 0 4 " + " ".join(f"{part:.9f}" for part in way) + " 0.533"
            )
        text.append(
            "void brightfunc sky 2 light sky.cal 0 0\nsky glow skyglow 0 0 4 1 1 1 0\nskyglow source all 0 0 4 0 0 1 360"
        )
        return "\n".join(text)

    def _street(self) -> list[str]:
        """The ground and both sides of the street before the first wall, which runs along x."""
        street = next((glass.street for glass in self.glazing if glass.street is not None), None)
        if street is None:
            return []
        (left, y), (right, _) = self.plan_m[:2]
        foot, far, ends = -street.floor_m, y + street.width_m, (-200.0, 200.0)

        def upright(name: str, x: tuple[float, float], z: tuple[float, float], at_y: float) -> str:
            corners = [(x[0], z[0]), (x[1], z[0]), (x[1], z[1]), (x[0], z[1])]
            return _polygon("facade", name, [np.array([a, at_y, b]) for a, b in corners])

        own = street.own_m + foot
        made = [
            f"void plastic facade 0 0 5 {street.facade} {street.facade} {street.facade} 0 0",
            f"void plastic soil 0 0 5 {self.ground} {self.ground} {self.ground} 0 0",
            upright("opposite", ends, (foot, foot + street.opposite_m), far),
            upright("leftward", (ends[0], left), (foot, own), y),
            upright("rightward", (right, ends[1]), (foot, own), y),
            _polygon(
                "soil",
                "street",
                [np.array([a, b, foot]) for a, b in ((-200, y), (200, y), (200, far), (-200, far))],
            ),
        ]
        if own > self.height_m:
            made.append(upright("above", (left, right), (self.height_m, own), y))
        if foot < 0:
            made.append(upright("below", (left, right), (foot, 0.0), y))
        return made

    def _frame(self, wall: Wall, glass: Glazing, k: int) -> list[str]:
        """Reveal, overhang, and 60 m of the facade outside, which stands a millimetre further out."""
        pane, outward = glass.pane, np.append(wall.outward, 0.0)
        left, right = pane.offset_m, pane.offset_m + pane.width_m
        low, high, face = pane.sill_m, pane.head_m, pane.reveal_m + 0.001

        def quad(material: str, name: str, *corners: tuple[float, float, float]) -> str:
            """Corners: along the wall, up, and out of it."""
            text = f"void plastic {material}{k} 0 0 5 {levels[material]} {levels[material]} {levels[material]} 0 0\n"
            return text + _polygon(
                f"{material}{k}",
                f"{name}{k}",
                [wall.point(u, z) + out * outward for u, z, out in corners],
            )

        levels = {"reveal": glass.reveal, "under": glass.underside, "front": glass.facade}
        made = []
        if pane.reveal_m > 0:
            for name, (u0, z0), (u1, z1) in (
                ("left", (left, low), (left, high)),
                ("right", (right, low), (right, high)),
                ("head", (left, high), (right, high)),
                ("ledge", (left, low), (right, low)),
            ):
                ends = (u0, z0, 0.0), (u1, z1, 0.0), (u1, z1, face), (u0, z0, face)
                made.append(quad("reveal", name, *ends))
        if pane.overhang_m > 0:
            level, out = pane.head_m + pane.overhang_gap_m, pane.reveal_m + pane.overhang_m
            a, b = -30.0, 30.0 + wall.length_m
            corners = (a, level, face), (b, level, face), (b, level, out), (a, level, out)
            made.append(quad("under", "overhang", *corners))
        if glass.facade > 0:
            foot, top = -glass.drop_m + low, high + pane.overhang_gap_m
            for name, u0, u1, z0, z1 in (
                ("beside", -30.0, left, foot, top),
                ("beyond", right, 30.0 + wall.length_m, foot, top),
                ("beneath", left, right, foot, low),
                ("above", left, right, high, top),
            ):
                if z1 > z0:
                    ends = (u0, z0, face), (u1, z0, face), (u1, z1, face), (u0, z1, face)
                    made.append(quad("front", name, *ends))
        return made

    def sky(self) -> str:
        """The exact CIE overcast sky of one lux level, its ground, and the skyline of the first
        pane that has one, straight between its points.
        """
        if self.sun is not None:
            return self._clear_sky(*self.sun)
        skyline = next(
            (
                glass.skyline
                for glass in self.glazing
                if glass.skyline is not None and glass.street is None
            ),
            None,
        )
        stands = "-90"
        if skyline is not None:
            points = sorted(skyline)
            points = [
                (points[-1][0] - 360.0, points[-1][1]),
                *points,
                (points[0][0] + 360.0, points[0][1]),
            ]
            stands = str(points[-1][1])
            for (a, low), (b, high) in reversed(list(pairwise(points))):
                stands = (
                    f"if({b}-bearing, {low}+({high}-({low}))*(bearing-({a}))/({b - a}), {stands})"
                )
        return (
            f"turned = atan2(Dx,Dy)*180/PI;\nbearing = if(turned, turned, turned+360);\nstands = {stands};\n"
            f"up = (1+2*Dz)/3*9/(7*PI);\nlight = if(-Dz, {self.ground}/PI, if(stands-asin(Dz)*180/PI, {facade_share(self.ground)}/PI, up));\n"
        )

    def _clear_sky(self, azimuth_deg: float, height_deg: float) -> str:
        """The CIE clear sky of type 12 in cd/m2, its level by sums over the hemisphere, and the
        ground that it and the sun light.
        """
        a, b, c, d, e = TYPE_12
        sun, at = np.radians(height_deg), np.radians(azimuth_deg)
        up, round_ = np.meshgrid(
            (np.arange(900) + 0.5) * np.pi / 1800, (np.arange(720) + 0.5) * np.pi / 360
        )
        cosine = np.sin(up) * np.sin(sun) + np.cos(up) * np.cos(sun) * np.cos(round_)
        chi = np.arccos(np.clip(cosine, -1.0, 1.0))
        relative = (1 + a * np.exp(b / np.sin(up))) * (
            1 + c * (np.exp(d * chi) - np.exp(d * np.pi / 2)) + e * cosine**2
        )
        step = np.pi / 1800 * np.pi / 360
        level = float(sky_lux(height_deg, CLEAR))
        zenith = level / float(np.sum(relative * np.sin(up) * np.cos(up)) * step)
        ground = self.ground * (level + float(direct_normal_lux(height_deg)) * np.sin(sun)) / np.pi
        way = (np.sin(at) * np.cos(sun), np.cos(at) * np.cos(sun), np.sin(sun))
        return (
            f"cosine = Dx*{way[0]:.9f}+Dy*{way[1]:.9f}+Dz*{way[2]:.9f};\n"
            "chi = acos(if(cosine-1, 1, if(-1-cosine, -1, cosine)));\n"
            f"up = {zenith:.9f}*(1+({a})*exp(({b})/if(Dz-0.0001, Dz, 0.0001)))*"
            f"(1+{c}*(exp(({d})*chi)-exp(({d})*PI/2))+{e}*cosine*cosine);\n"
            f"light = if(-Dz, {ground:.9f}, up);\n"
        )

    def light(
        self,
        planes: list[tuple[tuple[float, float, float], tuple[float, float, float]]],
        folder: Path,
        options: str,
        runs: int = 1,
    ) -> NDArray[np.float64]:
        """(planes,) lux on each (point, normal) for each lux outdoors: the mean over so many runs."""
        (folder / "room.rad").write_text(self.scene())
        (folder / "sky.cal").write_text(self.sky())
        where = {**os.environ, "RAYPATH": f".:{BINARIES.parent / 'lib'}"}
        octree = subprocess.run(
            [BINARIES / "oconv", "room.rad"], cwd=folder, env=where, capture_output=True, check=True
        )
        (folder / "room.oct").write_bytes(octree.stdout)
        rays = "".join(
            " ".join(f"{v:.6f}" for v in (*at, *way)) + "\n"
            for at, way in planes
            for _ in range(runs)
        )
        traced = subprocess.run(
            [BINARIES / "rtrace", "-I", "-h", "-w", *options.split(), "room.oct"],
            cwd=folder,
            env=where,
            input=rays.encode(),
            capture_output=True,
            check=True,
        )
        values = np.array([float(line.split()[0]) for line in traced.stdout.decode().splitlines()])
        return np.asarray(values.reshape(len(planes), runs).mean(axis=1))


def _polygon(material: str, name: str, corners: list[NDArray[np.float64]]) -> str:
    return f"{material} polygon {name} 0 0 {3 * len(corners)} " + " ".join(
        f"{v:.6f}" for corner in corners for v in corner
    )
