"""Needs to start from: what scenes of a kind ask for as a rule (common practice; ours, and invented
figures where practice has none). They are changed as soon as the scene is known better.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any


def _must(topic: str, **asked: Any) -> dict[str, Any]:
    return {"topic": topic, "strength": "must", **asked}


def _wish(topic: str, weight: int, **asked: Any) -> dict[str, Any]:
    return {"topic": topic, "strength": "wish", "weight": weight, **asked}


PRESETS: Mapping[str, tuple[dict[str, Any], ...]] = MappingProxyType(
    {
        "interview": (
            _must("framing", framing="head_and_shoulders"),
            _must("depth", depth_m=4.0),
            _must("noise", laeq_db=35),
            _wish("mic", 4, speech="clean"),
            _wish("sun", 3),
            _wish("daylight", 2, want="wanted"),
            _wish("colour", 3, risk="low"),
            _must("watts", watts=600),
            _wish("sockets", 1, sockets=3),
        ),
        "ceremony": (
            _must("floor", width_m=8.0, length_m=12.0),
            _must("framing", framing="wide"),
            _wish("noise", 3, laeq_db=40),
            _wish("mic", 3, speech="usable"),
            _wish("lux", 3, lux=200),
            _must("access", step_free=True),
            _wish("neighbours", 2),
        ),
        "walk_and_talk": (
            _must("depth", depth_m=8.0),
            _must("framing", framing="medium"),
            _must("noise", laeq_db=42),
            _wish("mic", 4, speech="usable"),
            _wish("daylight", 3, want="wanted"),
        ),
        "product": (
            _must("floor", width_m=2.5, length_m=3.0),
            _must("daylight", want="shut_out"),
            _wish("colour", 5, risk="none"),
            _must("watts", watts=1000),
            _wish("sockets", 2, sockets=4),
        ),
        "group": (
            _must("floor", width_m=4.0, length_m=5.0),
            _must("framing", framing="wide"),
            _wish("height", 2, height_m=2.6),
            _wish("lux", 3, lux=300),
            _wish("access", 2, steps=20),
        ),
        "dance": (
            _must("floor", width_m=7.0, length_m=9.0),
            _must("height", height_m=3.0),
            _must("framing", framing="full_figure"),
            _wish("lux", 3, lux=400),
            _wish("neighbours", 3),
            _must("watts", watts=1500),
        ),
    }
)
