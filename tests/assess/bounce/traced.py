"""Furnished rooms whose bounced colour is traced path by path, and the run that makes the expected
rows again: `python -m tests.assess.bounce.traced` (two minutes of one processor).

The tracer shares nothing with our solver but the sheets, the lamp's spectrum and the observer: boxes
are met ray by ray, light goes from the face backwards, and each hit asks the lamp directly.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.spectra import NM, observer
from scout.records import read_sheet
from scout.records.sheet import RoomSheet

FloatArray = NDArray[np.float64]
EXPECTED = Path(__file__).with_name("furnished_traced.json")
PATHS, AT_ONCE, BOUNCES = 160_000, 20_000, 40
WIDTH, DEPTH, HEIGHT = 4.4, 5.2, 2.6
SUBJECT, CAMERA = (2.2, 3.2, 1.2), (2.2, 0.9, 1.3)
PLAIN = {"material": "hard_surface"}


def spectrum(*values: float) -> dict[str, Any]:
    """A reflectance by eight values from 380 nm on, 50 nm apart."""
    return {"spectrum": {"first_nm": 380, "step_nm": 50, "values": list(values)}}


WHITE = spectrum(0.62, 0.78, 0.80, 0.81, 0.82, 0.82, 0.83, 0.83)
CREAM = spectrum(0.30, 0.42, 0.52, 0.60, 0.64, 0.66, 0.67, 0.68)
OAK = spectrum(0.08, 0.10, 0.14, 0.20, 0.26, 0.30, 0.33, 0.35)
BRICK = spectrum(0.06, 0.07, 0.08, 0.11, 0.22, 0.34, 0.38, 0.40)
GREEN = spectrum(0.05, 0.07, 0.16, 0.34, 0.24, 0.12, 0.10, 0.14)
BLUE = spectrum(0.20, 0.34, 0.36, 0.26, 0.16, 0.12, 0.12, 0.18)
COAL = spectrum(0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05)


def piece(name: str, colour: dict[str, Any], *of: float, clear: float | None = None) -> Any:
    """A block: middle, footprint, turn, height."""
    x, y, width, depth, turn, height = of
    return {
        "id": name,
        "at_m": [x, y],
        "width_m": width,
        "depth_m": depth,
        "turn_deg": turn,
        "height_m": height,
        "colour": colour,
        "clear_below_m": clear,
    }


PIECES = (
    ("table", (1.3, 2.3, 1.4, 0.8, 15.0, 0.74), 0.68),
    ("sofa", (3.85, 3.0, 0.9, 1.9, 0.0, 0.8), None),
    ("bookcase", (0.17, 4.0, 0.3, 1.5, 0.0, 2.0), None),
)
SCENES = {  # walls A to D, ceiling, floor; then the pieces
    "pale": ((WHITE, CREAM, WHITE, CREAM, WHITE, OAK), (OAK, BLUE, BRICK)),
    "coloured": ((CREAM, BRICK, CREAM, GREEN, WHITE, OAK), (CREAM, GREEN, WHITE)),
    "dark": ((OAK, BRICK, COAL, BLUE, CREAM, COAL), (COAL, BRICK, OAK)),
}
LIGHTS = (
    {"id": "key", "spectrum": "daylight", "cct_k": 5600, "beam_deg": 55, "at_m": [3.3, 1.8, 2.1]},
    {"id": "fill", "spectrum": "led", "cct_k": 3200, "beam_deg": 100, "at_m": [0.9, 1.4, 1.7]},
)


def sheet_of(scene: str) -> RoomSheet:
    """The room as our engine reads it."""
    walls, pieces = SCENES[scene]
    names = ("A", "B", "C", "D", "ceiling", "floor")
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "room": {
                "setting": "interior",
                "width_m": WIDTH,
                "length_m": DEPTH,
                "height_m": HEIGHT,
                "surfaces": {
                    name: {"colour": colour, **PLAIN}
                    for name, colour in zip(names, walls, strict=True)
                },
                "windows": [],
                "doors": [],
                "furniture": [
                    piece(name, colour, *of, clear=clear)
                    for (name, of, clear), colour in zip(PIECES, pieces, strict=True)
                ],
            },
            "marks": {"subject": SUBJECT, "camera": CAMERA},
            "kit": {"lights": [{**light, "duv": 0.0, "lux_at_1m": 1000.0} for light in LIGHTS]},
        }
    )


class Traced:
    """One scene, traced. Boxes are kept as middle, half size and turn; a hit says which side of
    what it met.
    """

    def __init__(self, scene: str) -> None:
        walls, pieces = SCENES[scene]
        every = [_of(colour) for colour in (*walls, *pieces)]
        self.reflectance = np.stack(every)  # A, B, C, D, ceiling, floor, pieces
        self.boxes = []
        for _, (x, y, width, depth, turn, height), clear in PIECES:
            low, rad = clear or 0.0, np.radians(turn)
            middle = np.array([x, y, (low + height) / 2])
            half = np.array([width, depth, height - low]) / 2
            c, s = np.cos(rad), np.sin(rad)  # turned clockwise seen from above
            self.boxes.append(
                (middle, half, np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]))
            )

    def hit(
        self, at: FloatArray, way: FloatArray
    ) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
        """How far each ray goes, the normal where it ends, and the surface that it meets."""
        size = np.array([WIDTH, DEPTH, HEIGHT])
        with np.errstate(divide="ignore", invalid="ignore"):
            ends = np.where(way > 0, (size - at) / way, np.where(way < 0, -at / way, np.inf))
        axis = np.argmin(ends, axis=1)
        row = np.arange(len(at))
        far, sign = ends[row, axis], np.sign(way[row, axis])
        normal = np.zeros_like(way)
        normal[row, axis] = -sign
        # x: wall B right, D left; y: A far, C near; z: ceiling, floor
        met = np.array([[3, 1], [2, 0], [5, 4]])[axis, (sign > 0).astype(int)]
        for number, (middle, half, turn) in enumerate(self.boxes):
            here, going = (at - middle) @ turn.T, way @ turn.T
            with np.errstate(divide="ignore", invalid="ignore"):
                one, two = (-half - here) / going, (half - here) / going
            near = np.nan_to_num(np.minimum(one, two), nan=-np.inf)
            out = np.nan_to_num(np.maximum(one, two), nan=np.inf)
            side = np.argmax(near, axis=1)
            enter, leave = near[row, side], out.min(axis=1)
            first = (enter < leave) & (enter > 1e-9) & (enter < far)
            far = np.where(first, enter, far)
            met = np.where(first, 6 + number, met)
            local = np.zeros_like(way)
            local[row, side] = -np.sign(going[row, side])
            normal = np.where(first[:, None], local @ turn, normal)
        return far, normal, met

    def arriving(
        self, normal: FloatArray, light: dict[str, Any], aim: FloatArray, seed: int
    ) -> tuple[FloatArray, float]:
        """(71,) bounced lux at the subject for one unit of each wavelength, and the standard error
        of the whole as a share of it.
        """
        random = np.random.default_rng(seed)
        lamp = np.array(light["at_m"])
        axis = (aim - lamp) / np.linalg.norm(aim - lamp)
        power = np.log(0.5) / np.log(np.cos(np.radians(light["beam_deg"] / 2)))
        sums = []
        for _ in range(PATHS // AT_ONCE):
            at = np.tile(np.array(SUBJECT), (AT_ONCE, 1))
            facing = np.tile(normal, (AT_ONCE, 1))
            carried = np.ones((AT_ONCE, len(NM)))
            total = np.zeros(len(NM))
            for bounce in range(BOUNCES):
                way = _cosine(facing, random)
                far, facing, met = self.hit(at, way)
                at = at + way * far[:, None] + facing * 1e-6
                carried = carried * self.reflectance[met]
                to = lamp - at
                away = np.linalg.norm(to, axis=1)
                to = to / away[:, None]
                square = np.sum(facing * to, axis=1)
                lobe = np.maximum(-(to @ axis), 0.0) ** power
                seen = (square > 0) & (lobe > 0)
                seen[seen] = self.hit(at[seen], to[seen])[0] >= away[seen] - 1e-6
                lux = np.where(seen, 1000.0 * lobe * square / away**2, 0.0)
                total += lux @ carried
                if bounce > 3:  # some paths end, the others carry their light
                    keep = np.clip(carried.max(axis=1), 0.05, 0.95)
                    stays = random.random(len(at)) < keep
                    at, facing = at[stays], facing[stays]
                    carried = carried[stays] / keep[stays, None]
                    if not len(at):
                        break
            sums.append(total / AT_ONCE)
        found = np.array(sums)
        whole = found.sum(axis=1)
        return found.mean(axis=0), float(whole.std(ddof=1) / len(sums) ** 0.5 / whole.mean())


def _of(colour: dict[str, Any]) -> FloatArray:
    values = colour["spectrum"]["values"]
    return np.interp(NM, 380 + 50 * np.arange(len(values)), values)


def _cosine(normal: FloatArray, random: np.random.Generator) -> FloatArray:
    """Ways round each normal, as often as their cosine."""
    sphere = random.normal(size=normal.shape)
    way = normal + sphere / np.linalg.norm(sphere, axis=1, keepdims=True) * (1 - 1e-9)
    return way / np.linalg.norm(way, axis=1, keepdims=True)


def aims(light: dict[str, Any]) -> dict[str, FloatArray]:
    """Square at each surface."""
    x, y, z = light["at_m"]
    return {
        "A": np.array([x, DEPTH, z]),
        "B": np.array([WIDTH, y, z]),
        "C": np.array([x, 0.0, z]),
        "D": np.array([0.0, y, z]),
        "ceiling": np.array([x, y, HEIGHT]),
        "floor": np.array([x, y, 0.0]),
    }


def rows(scene: str) -> list[dict[str, Any]]:
    """Every row of a scene, as kept."""
    room, made = Traced(scene), []
    subject = np.array(SUBJECT)
    looks = np.array([CAMERA[0] - SUBJECT[0], CAMERA[1] - SUBJECT[1], 0.0])
    looks /= np.linalg.norm(looks)
    for light in LIGHTS:
        to_light = np.array(light["at_m"]) - subject
        to_light /= np.linalg.norm(to_light)
        asked = [(name, looks, aim) for name, aim in aims(light).items()]
        asked += [("key", to_light, subject), ("shadow", -to_light, subject)]
        own = light_spectrum(str(light["spectrum"]), float(light["cct_k"]), 0.0).spectrum
        for seed, (target, normal, aim) in enumerate(asked):
            share, error = room.arriving(normal, light, aim, seed)
            lux = float((share * own) @ observer()[:, 1] / (own @ observer()[:, 1]))
            if target == "key":  # the colour there is that of both
                share = share + 1000.0 / np.sum((np.array(light["at_m"]) - subject) ** 2)
            xyz = (share * own) @ observer()
            made.append(
                {
                    "scene": scene,
                    "light": light["id"],
                    "target": target,
                    "lux": round(lux, 4),
                    "xy": [round(float(value), 5) for value in xyz[:2] / xyz.sum()],
                    "error_pct": round(100 * error, 2),
                }
            )
    return made


if __name__ == "__main__":
    found = [row for scene in SCENES for row in rows(scene)]
    text = ",\n".join(json.dumps(row) for row in found)
    EXPECTED.write_text(f"[\n{text}\n]\n", encoding="utf-8")
    sys.stdout.write(f"{len(found)} rows\n")
