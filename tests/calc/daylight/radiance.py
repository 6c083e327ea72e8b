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

from scout.calc.daylight.room_light import Glazing, facade_share
from scout.calc.geometry import Wall, walls

BINARIES = Path(pyradiance.__file__).parent / "bin"


@dataclass(frozen=True)
class TracedRoom:
    """Open holes in thin walls; y is north. An overhang is a black slab 60 m wide, a skyline stands
    at the end of the world.
    """

    plan_m: tuple[tuple[float, float], ...]
    height_m: float
    glazing: tuple[Glazing, ...]
    reflectance: tuple[float, ...]
    ground: float

    def scene(self) -> str:
        """The Radiance scene."""
        plan_walls, text = walls(self.plan_m), []
        for number, rho in enumerate(self.reflectance):
            text.append(f"void plastic m{number} 0 0 5 {rho} {rho} {rho} 0 0")
        text.append("void plastic black 0 0 5 0 0 0 0 0")
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
            text += [
                self._overhang(wall, glass, k)
                for k, glass in enumerate(self.glazing)
                if glass.pane.wall == number and glass.pane.overhang_m > 0
            ]
        for name, level, number in (
            ("floor", 0.0, len(plan_walls)),
            ("ceiling", self.height_m, len(plan_walls) + 1),
        ):
            text.append(
                _polygon(f"m{number}", name, [np.array([x, y, level]) for x, y in self.plan_m])
            )
        text.append(
            "void brightfunc sky 2 light sky.cal 0 0\nsky glow skyglow 0 0 4 1 1 1 0\nskyglow source all 0 0 4 0 0 1 360"
        )
        return "\n".join(text)

    def _overhang(self, wall: Wall, glass: Glazing, k: int) -> str:
        pane, out = glass.pane, np.append(wall.outward, 0.0)
        level = pane.head_m + pane.overhang_gap_m
        left, right = wall.point(-30.0, level), wall.point(30.0 + wall.length_m, level)
        return _polygon(
            "black",
            f"overhang{k}",
            [left, right, right + out * pane.overhang_m, left + out * pane.overhang_m],
        )

    def sky(self) -> str:
        """The exact CIE overcast sky of one lux level, its ground, and the skyline of the first
        pane that has one, straight between its points.
        """
        skyline = next((glass.skyline for glass in self.glazing if glass.skyline is not None), None)
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
