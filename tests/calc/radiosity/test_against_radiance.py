"""Two rooms against Radiance, run with a waveband in each of its channels."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pyradiance
import pytest

from scout.calc.geometry import FloatArray, rectangle_m
from scout.calc.radiosity import enclosure, importance, spread_from_lamp, within_patches
from tests.calc.bounce.charts import GREEN, RED, values

SIZE = (4.0, 3.0, 2.5)
LAMP, SUBJECT, LOOKS = (2.0, 1.5, 1.5), (3.2, 1.5, 1.2), (-1.0, 0.0, 0.0)
PANEL_M = 0.02
CANDELA = 9000.0
BANDS = [7, 17, 27]  # 450, 550 and 650 nm of spectra by 10 nm from 380
FLAT = {"floor": [0.2] * 3, "ceiling": [0.85] * 3}


def chart(text: str) -> list[float]:
    return [values(text)[k] for k in BANDS]


ROOMS = {
    "red": {**dict.fromkeys("ABCD", chart(RED)), **FLAT},
    "green wall": {**dict.fromkeys("ABC", [0.7] * 3), "D": chart(GREEN), **FLAT},
}


def by_patches(room: dict[str, list[float]], aim: tuple[float, float, float]) -> FloatArray:
    here = enclosure(
        tuple((float(x), float(y)) for x, y in rectangle_m(*SIZE[:2])), SIZE[2], (), 0.5
    )
    names = here.patches.names
    reflectance = np.stack([room[name] for name in names])[here.patches.surface]
    lux = spread_from_lamp(
        here.patches, LAMP, aim, CANDELA, 120.0
    )  # half the intensity at 60 degrees: Lambert's cosine, as the panel's
    within, share = within_patches(here.patches, SUBJECT, LOOKS), here.patches.points(4)[1]
    weight = (
        importance(here.factors, here.patches.area_m2, reflectance, within.sum(axis=1))
        * reflectance
    )
    even = np.sum(lux * share, axis=1) @ weight
    return np.asarray(
        even + np.sum((within - within.sum(axis=1)[:, None] * share) * lux, axis=1) @ reflectance
    )


def by_radiance(
    room: dict[str, list[float]], aim: tuple[float, float, float], folder: Path
) -> FloatArray:
    x, y, z = SIZE
    faces = {
        "A": [(0, y, 0), (x, y, 0), (x, y, z), (0, y, z)],
        "B": [(x, y, 0), (x, 0, 0), (x, 0, z), (x, y, z)],
        "C": [(x, 0, 0), (0, 0, 0), (0, 0, z), (x, 0, z)],
        "D": [(0, 0, 0), (0, y, 0), (0, y, z), (0, 0, z)],
        "floor": [(0, 0, 0), (x, 0, 0), (x, y, 0), (0, y, 0)],
        "ceiling": [(0, 0, z), (0, y, z), (x, y, z), (x, 0, z)],
    }
    level = CANDELA / PANEL_M**2
    lines = [f"void light glow_lamp 0 0 3 {level} {level} {level}"]
    for name, corners in faces.items():
        lines.append(
            f"void plastic paint_{name} 0 0 5 {' '.join(str(part) for part in room[name])} 0 0"
        )
        lines.append(
            f"paint_{name} polygon face_{name} 0 0 12 {' '.join(str(part) for corner in corners for part in corner)}"
        )
    axis = np.array(aim) - np.array(LAMP)
    axis /= np.linalg.norm(axis)
    side = np.cross(axis, [0.0, 1.0, 0.0]) * PANEL_M / 2
    up = np.cross(axis, side)
    panel = [np.array(LAMP) + a * side + b * up for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    lines.append(
        f"glow_lamp polygon lamp 0 0 12 {' '.join(f'{part:.6f}' for corner in panel for part in corner)}"
    )
    scene, octree = folder / "room.rad", folder / "room.oct"
    scene.write_text("\n".join(lines))
    octree.write_bytes(pyradiance.oconv(str(scene), warning=False))
    rays = (" ".join(str(part) for part in (*SUBJECT, *LOOKS)) + "\n").encode()
    told = pyradiance.rtrace(
        rays,
        str(octree),
        header=False,
        irradiance=True,
        nproc=1,
        params=[
            "-ab",
            "6",
            "-ad",
            "1200",
            "-as",
            "0",
            "-aa",
            "0.2",
            "-ar",
            "32",
            "-lw",
            "1e-5",
            "-lr",
            "10",
        ],
    )
    return np.array([float(part) for part in told.split()])


@pytest.mark.parametrize("aim", [(2.0, 1.5, 2.5), (0.0, 1.5, 1.5)], ids=["ceiling", "wall D"])
@pytest.mark.parametrize("room", sorted(ROOMS))
def test_bounced_light_by_waveband(room: str, aim: tuple[float, float, float]) -> None:
    # Source: Radiance (Ward Larson and Shakespeare, Rendering with Radiance, 1998) through
    # pyradiance, irradiance at the subject's face.
    # Tolerance 3.5 %: its sampling noise with so few rays, and the light that it drops after six
    # bounces, some 2 % of the red band here.
    with tempfile.TemporaryDirectory() as folder:
        other = by_radiance(ROOMS[room], aim, Path(folder))
    own = by_patches(ROOMS[room], aim)
    assert own == pytest.approx(other, rel=0.035)
