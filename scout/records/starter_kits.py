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
_PANEL: dict[str, Any] = {
    "cct_k": 5600,
    "duv": 0.0,
    "spectrum": "led",
    "supply": "mains",
    "power_factor": 0.9,
}


def _lead(length_m: float) -> dict[str, Any]:
    return {"length_m": length_m, "conductor_mm2": 1.5}


@dataclass(frozen=True)
class StarterKit:
    """A kit to start from. `called` is its word in addresses."""

    called: str
    title: str
    told: str
    kit: Kit


@cache
def starter_kits() -> tuple[StarterKit, ...]:
    """All of them, the smallest first."""
    return (
        StarterKit(
            "daylight",
            "Daylight and reflectors",
            "one person: window light, white, silver and black boards, one battery light in the bag.",
            _kit(
                "Daylight and reflectors",
                lights=[
                    {
                        **_PANEL,
                        "id": "fill",
                        "watts": 25,
                        "supply": "battery",
                        "lux_at_1m": 700,
                        "beam_deg": 100,
                        "stand_min_m": 0.9,
                        "stand_max_m": 2.1,
                        "head_m": 0.15,
                        "soft_width_m": 0.2,
                    },
                ],
                modifiers=[{"id": "diffusion frame", "loss_stops": 1.5, "width_m": 1.2}],
                stands=[
                    {
                        "id": "light stand",
                        "count": 2,
                        "lowest_m": 0.9,
                        "highest_m": 2.1,
                        "foot_m": 0.9,
                    },
                ],
                reflectors=[
                    {
                        "id": "white board",
                        "face": "white",
                        "width_m": 1.0,
                        "height_m": 1.0,
                        "reflectance": 0.85,
                    },
                    {
                        "id": "silver board",
                        "face": "silver",
                        "width_m": 1.0,
                        "height_m": 1.0,
                        "reflectance": 0.75,
                    },
                    {
                        "id": "black cloth",
                        "face": "black",
                        "width_m": 1.8,
                        "height_m": 1.2,
                        "reflectance": 0.04,
                    },
                ],
                mics=[{"id": "lav", "kind": "omni_clip", "distance_m": 0.2}],
                chargers=[{"id": "battery charger", "watts": 65}],
                cables=[_lead(5)],
            ),
        ),
        StarterKit(
            "two_lights",
            "Two lights, one person",
            "key and fill on stands, a clip-on and an on-camera microphone: an interview carried in two trips.",
            _kit(
                "Two lights, one person",
                lights=[
                    {
                        **_PANEL,
                        "id": "key",
                        "watts": 150,
                        "lux_at_1m": 5500,
                        "beam_deg": 60,
                        "stand_min_m": 1.0,
                        "stand_max_m": 2.4,
                        "head_m": 0.3,
                        "soft_width_m": 0.6,
                    },
                    {
                        **_PANEL,
                        "id": "fill",
                        "watts": 60,
                        "lux_at_1m": 1800,
                        "beam_deg": 100,
                        "stand_min_m": 0.9,
                        "stand_max_m": 2.2,
                        "head_m": 0.3,
                        "soft_width_m": 0.4,
                    },
                ],
                modifiers=[{"id": "softbox", "loss_stops": 1.3, "width_m": 0.9}],
                stands=[
                    {
                        "id": "light stand",
                        "count": 2,
                        "lowest_m": 0.9,
                        "highest_m": 2.4,
                        "foot_m": 1.0,
                    },
                ],
                reflectors=[
                    {
                        "id": "white board",
                        "face": "white",
                        "width_m": 0.8,
                        "height_m": 0.8,
                        "reflectance": 0.85,
                    }
                ],
                mics=[
                    {"id": "lav", "kind": "omni_clip", "distance_m": 0.2},
                    {"id": "on-camera mic", "kind": "camera", "distance_m": 2.0},
                ],
                chargers=[{"id": "battery charger", "watts": 65}],
                cables=[_lead(5), _lead(10), _lead(10)],
            ),
        ),
        StarterKit(
            "three_lights",
            "Three lights, small crew",
            "key, fill and back light, boom and clip-on, two cameras, and what charges them.",
            _kit(
                "Three lights, small crew",
                lights=[
                    {
                        **_PANEL,
                        "id": "key",
                        "watts": 300,
                        "power_factor": 0.95,
                        "lux_at_1m": 9000,
                        "beam_deg": 55,
                        "stand_min_m": 1.1,
                        "stand_max_m": 2.6,
                        "head_m": 0.35,
                        "soft_width_m": 0.9,
                    },
                    {
                        **_PANEL,
                        "id": "fill",
                        "watts": 150,
                        "lux_at_1m": 4000,
                        "beam_deg": 90,
                        "stand_min_m": 1.0,
                        "stand_max_m": 2.4,
                        "head_m": 0.3,
                        "soft_width_m": 0.6,
                    },
                    {
                        **_PANEL,
                        "id": "back",
                        "watts": 60,
                        "power_factor": 0.6,
                        "lux_at_1m": 2600,
                        "beam_deg": 40,
                        "stand_min_m": 1.0,
                        "stand_max_m": 2.6,
                        "head_m": 0.2,
                        "soft_width_m": 0.2,
                    },
                ],
                modifiers=[
                    {"id": "softbox", "loss_stops": 1.3, "width_m": 0.9},
                    {"id": "grid", "loss_stops": 0.7},
                ],
                stands=[
                    {
                        "id": "light stand",
                        "count": 3,
                        "lowest_m": 1.0,
                        "highest_m": 2.6,
                        "foot_m": 1.0,
                    },
                    {
                        "id": "boom stand",
                        "count": 1,
                        "lowest_m": 1.2,
                        "highest_m": 3.0,
                        "foot_m": 1.2,
                    },
                ],
                reflectors=[
                    {
                        "id": "white board",
                        "face": "white",
                        "width_m": 1.2,
                        "height_m": 1.0,
                        "reflectance": 0.85,
                    },
                    {
                        "id": "black cloth",
                        "face": "black",
                        "width_m": 1.8,
                        "height_m": 1.2,
                        "reflectance": 0.04,
                    },
                ],
                mics=[
                    {"id": "boom", "kind": "shotgun", "distance_m": 0.7},
                    {"id": "lav", "kind": "omni_clip", "distance_m": 0.2},
                ],
                chargers=[
                    {"id": "battery charger", "watts": 130},
                    {"id": "laptop", "watts": 90},
                    {"id": "monitor", "watts": 40},
                ],
                cables=[_lead(5), _lead(10), _lead(10), _lead(20)],
                other_cameras=[{**_CAMERA, "id": "B", "focal_lengths_mm": [35, 85]}],
            ),
        ),
    )


def _kit(name: str, **parts: Any) -> Kit:
    return Kit.read({"name": name, "camera": _CAMERA, "notes": NOTE, **parts}, "kit")


def starter_kit(called: str) -> StarterKit | None:
    """One of them by its word."""
    return next((one for one in starter_kits() if one.called == called), None)
