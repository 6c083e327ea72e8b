"""Generic kits of our own to start from and then to change. No maker's figures: every number here
is invented, and plausible for its kind.

A kit that is started from says in its notes that its figures are generic: they are to be
    replaced by those read off the fixtures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from scout.records.kit import Kit

NOTE = "Generic figures to start from, invented and plausible: read watts off the plates, take a meter to the lights, and correct what stands here."
_CAMERA: dict[str, Any] = {
    "sensor_width_mm": 24.9,
    "sensor_height_mm": 14.0,
    "focal_lengths_mm": [24, 35, 50, 85],
    "iso": 800,
    "f_number": 2.8,
    "shutter_s": 0.02,
    "latitude_stops": 5,
}
_LIGHT = (
    *("id", "watts", "power_factor", "lux_at_1m", "beam_deg"),
    *("stand_min_m", "stand_max_m", "head_m", "soft_width_m", "supply"),
)
_PANEL: dict[str, Any] = {"cct_k": 5600, "duv": 0.0, "spectrum": "led"}
_BOARD = ("id", "face", "width_m", "height_m", "reflectance")
_STAND = ("id", "count", "lowest_m", "highest_m", "foot_m")
_LAV = {"id": "lav", "kind": "omni_clip", "distance_m": 0.2}


@dataclass(frozen=True)
class StarterKit:
    """A kit to start from. `called` is its word in addresses."""

    called: str
    title: str
    told: str
    kit: Kit


def _rows(keys: tuple[str, ...], *rows: tuple[Any, ...]) -> list[dict[str, Any]]:
    return [dict(zip(keys, row, strict=True)) for row in rows]


def _kit(
    called: str,
    title: str,
    told: str,
    leads: tuple[int, ...],
    lights: tuple[tuple[Any, ...], ...],
    stands: tuple[tuple[Any, ...], ...],
    boards: tuple[tuple[Any, ...], ...],
    **more: Any,
) -> StarterKit:
    plain = {
        "name": title,
        "camera": _CAMERA,
        "notes": NOTE,
        "lights": [{**_PANEL, **row} for row in _rows(_LIGHT, *lights)],
        "stands": _rows(_STAND, *stands),
        "reflectors": _rows(_BOARD, *boards),
        "cables": [{"length_m": length, "conductor_mm2": 1.5} for length in leads],
    }
    return StarterKit(called, title, told, Kit.read({**plain, **more}, "kit"))


@cache
def starter_kits() -> tuple[StarterKit, ...]:
    """All of them, the smallest first."""
    return (
        _kit(
            "daylight",
            "Daylight and reflectors",
            "one person: window light, white, silver and black boards, one battery light in the bag.",
            (5,),
            (("fill", 25, 0.9, 700, 100, 0.9, 2.1, 0.15, 0.2, "battery"),),
            (("light stand", 2, 0.9, 2.1, 0.9),),
            (
                ("white board", "white", 1.0, 1.0, 0.85),
                ("silver board", "silver", 1.0, 1.0, 0.75),
                ("black cloth", "black", 1.8, 1.2, 0.04),
            ),
            modifiers=[{"id": "diffusion frame", "loss_stops": 1.5, "width_m": 1.2}],
            mics=[_LAV],
            chargers=[{"id": "battery charger", "watts": 65}],
        ),
        _kit(
            "two_lights",
            "Two lights, one person",
            "key and fill on stands, a clip-on and an on-camera microphone: an interview carried in two trips.",
            (5, 10, 10),
            (
                ("key", 150, 0.9, 5500, 60, 1.0, 2.4, 0.3, 0.6, "mains"),
                ("fill", 60, 0.9, 1800, 100, 0.9, 2.2, 0.3, 0.4, "mains"),
            ),
            (("light stand", 2, 0.9, 2.4, 1.0),),
            (("white board", "white", 0.8, 0.8, 0.85),),
            modifiers=[{"id": "softbox", "loss_stops": 1.3, "width_m": 0.9}],
            mics=[_LAV, {"id": "on-camera mic", "kind": "camera", "distance_m": 2.0}],
            chargers=[{"id": "battery charger", "watts": 65}],
        ),
        _kit(
            "three_lights",
            "Three lights, small crew",
            "key, fill and back light, boom and clip-on, two cameras, and what charges them.",
            (5, 10, 10, 20),
            (
                ("key", 300, 0.95, 9000, 55, 1.1, 2.6, 0.35, 0.9, "mains"),
                ("fill", 150, 0.9, 4000, 90, 1.0, 2.4, 0.3, 0.6, "mains"),
                ("back", 60, 0.6, 2600, 40, 1.0, 2.6, 0.2, 0.2, "mains"),
            ),
            (("light stand", 3, 1.0, 2.6, 1.0), ("boom stand", 1, 1.2, 3.0, 1.2)),
            (
                ("white board", "white", 1.2, 1.0, 0.85),
                ("black cloth", "black", 1.8, 1.2, 0.04),
            ),
            modifiers=[
                {"id": "softbox", "loss_stops": 1.3, "width_m": 0.9},
                {"id": "grid", "loss_stops": 0.7},
            ],
            mics=[{"id": "boom", "kind": "shotgun", "distance_m": 0.7}, _LAV],
            chargers=_rows(
                ("id", "watts"), ("battery charger", 130), ("laptop", 90), ("monitor", 40)
            ),
            other_cameras=[{**_CAMERA, "id": "B", "focal_lengths_mm": [35, 85]}],
        ),
    )


def starter_kit(called: str) -> StarterKit | None:
    """One of them by its word."""
    return next((one for one in starter_kits() if one.called == called), None)
