"""The fields of a plan as texts and as places: whatever was typed comes back as it was typed, and
every slip is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from scout.errors import Refused, RefusedMany
from scout.records.plan import PlannedBlock, PlannedLight, StagePlan
from scout.units import Units, parse_length_m, parse_number
from scout.web.forms.fields import BARE_NUMBER, exact_length, number_as_typed

AXES = ("x", "y", "z")
MOST_M = 1000.0
WALK_MOST = 12


def fields_of(plan: StagePlan, units: Units) -> dict[str, str]:
    """The texts of a plan's fields."""
    texts: dict[str, str] = {}

    def put(prefix: str, place: Iterable[float] | None) -> None:
        for axis, value in zip(AXES, place or (), strict=False):
            texts[f"{prefix}-{axis}"] = exact_length(round(value, 4), units)

    put("at-subject", plan.subject)
    put("at-camera", plan.camera)
    for light in plan.lights:
        put(f"at-{light.id}", light.at_m)
        texts[f"aim-{light.id}"] = "subject" if light.aim_m is None else "place"
        put(f"aim-{light.id}", light.aim_m)
    for k, place in enumerate(plan.path or ()):
        put(f"path-{k + 1}", place)
    put("boom", plan.boom)
    for block in plan.furniture:
        put(f"block-{block.id}", block.at_m)
        texts[f"block-{block.id}-turn"] = number_as_typed(round(block.turn_deg or 0.0, 2))
    turned = facing_of(plan)
    texts["facing"] = "" if turned is None else number_as_typed(round(turned, 2))
    texts["lens"] = "" if plan.lens_mm is None else f"{plan.lens_mm:g}"
    return texts


def facing_of(plan: StagePlan) -> float | None:
    """The way the subject faces, clockwise from straight up the drawing; None: towards the camera."""
    if plan.subject_normal is None:
        return None
    return math.degrees(math.atan2(plan.subject_normal[0], plan.subject_normal[1])) % 360.0


def plan_in(sent: Mapping[str, str], units: Units) -> StagePlan | None:
    """The plan that a form or an address carries; None when it carries none. Raises RefusedMany
    with every slip.
    """
    refusals: list[Refused] = []

    def read(name: str, key: str, how: Callable[[str, str], float]) -> float:
        try:
            return how(name, sent.get(key, "").strip())
        except Refused as refusal:
            refusals.append(refusal)
            return 0.0

    def metres(name: str, text: str) -> float:
        return _metres(name, text, units)

    def place(prefix: str, name: str, axes: tuple[str, ...] = AXES) -> tuple[float, ...] | None:
        if not any(sent.get(f"{prefix}-{axis}", "").strip() for axis in axes):
            return None
        return tuple(
            read(f"{name}, {'height' if axis == 'z' else axis}", f"{prefix}-{axis}", metres)
            for axis in axes
        )

    names = dict.fromkeys(
        key[3:-2] for key in sent if key.startswith("at-") and key[-2:] in ("-x", "-y", "-z")
    )
    plain: dict[str, Any] = {"lights": [], "furniture": []}
    for name in names:
        at = place(f"at-{name}", name)
        if at is None:
            continue
        if name in ("subject", "camera"):
            plain[name] = at
            continue
        aim = place(f"aim-{name}", f"aim of {name}") if sent.get(f"aim-{name}") == "place" else None
        plain["lights"].append((name, at, aim))
    numbers = sorted(
        {
            int(key.split("-")[1])
            for key in sent
            if key.startswith("path-") and key.split("-")[1].isdecimal() and len(key) < 12
        }
    )
    if numbers:
        walk = [
            one for k in numbers if (one := place(f"path-{k}", f"mark {k} of the walk")) is not None
        ]
        plain["path"] = walk
        if len(walk) == 1:
            refusals.append(
                Refused("mark 1 of the walk", "", "is the only one; a walk needs two marks or none")
            )
    plain["boom"] = place("boom", "boom")
    for name in dict.fromkeys(
        key[6:-2] for key in sent if key.startswith("block-") and key[-2:] in ("-x", "-y")
    ):
        spot = place(f"block-{name}", name, ("x", "y"))
        if spot is not None:
            turn = read(f"{name}, turned", f"block-{name}-turn", _degrees)
            plain["furniture"].append((name, spot, turn))
    if sent.get("facing", "").strip():
        turned = math.radians(read("facing", "facing", _degrees))
        plain["subject_normal"] = (round(math.sin(turned), 9), round(math.cos(turned), 9), 0.0)
    if sent.get("lens", "").strip():
        plain["lens_mm"] = read(
            "lens",
            "lens",
            lambda name, text: _within(parse_number(text, name=name), name, text, 0.1, 3000.0),
        )
    if refusals:
        raise RefusedMany(tuple(refusals))
    if not names and not numbers and plain["boom"] is None and not plain["furniture"]:
        return None
    return StagePlan.read(
        {key: value for key, value in plain.items() if key not in ("lights", "furniture")}, "plan"
    ).model_copy(
        update={
            "lights": tuple(
                PlannedLight.read({"id": name, "at_m": at, "aim_m": aim}, f"light {name[:40]}")
                for name, at, aim in plain["lights"]
            ),
            "furniture": tuple(
                PlannedBlock.read(
                    {"id": name, "at_m": at, "turn_deg": turn}, f"furniture {name[:40]}"
                )
                for name, at, turn in plain["furniture"]
            ),
        }
    )


def metres_of(plan: StagePlan) -> dict[str, list[float]]:
    """Every place of a plan in metres by the prefix of its fields, for the page's script, which
    reads no lengths itself.
    """
    found: dict[str, list[float]] = {}
    if plan.subject is not None:
        found["at-subject"] = list(plan.subject)
    if plan.camera is not None:
        found["at-camera"] = list(plan.camera)
    for light in plan.lights:
        found[f"at-{light.id}"] = list(light.at_m)
        if light.aim_m is not None:
            found[f"aim-{light.id}"] = list(light.aim_m)
    found |= {f"path-{k + 1}": list(place) for k, place in enumerate(plan.path or ())}
    if plan.boom is not None:
        found["boom"] = list(plan.boom)
    found |= {f"block-{block.id}": [*block.at_m, block.turn_deg or 0.0] for block in plan.furniture}
    return found


def _metres(name: str, text: str, units: Units) -> float:
    if units == "feet" and text and set(text) <= BARE_NUMBER and text.strip(" 0"):
        raise Refused(
            name,
            text,
            "has no unit; write feet and inches such as 12' 6\", or metres such as 3.8 m",
        )
    return _within(parse_length_m(text, name=name), name, text, -MOST_M, MOST_M, " m")


def _degrees(name: str, text: str) -> float:
    return _within(
        parse_number(text.removesuffix("°") or "0", name=name, accepted="degrees such as 90"),
        name,
        text,
        -360.0,
        360.0,
        " degrees",
    )


def _within(value: float, name: str, text: str, least: float, most: float, unit: str = "") -> float:
    if not least <= value <= most:
        raise Refused(name, text, f"must be within {least:g} and {most:g}{unit}")
    return value
