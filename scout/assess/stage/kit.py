"""Which light of a kit does what, and what a plan needs to know of each: heights, size, strength,
where it is pinned.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import STAND_RADIUS_M
from scout.calc.fit.plan.planned import PlanLamp
from scout.calc.fit.stand.lights import Lamp
from scout.calc.light.photometry import beam_share
from scout.records.sheet import Kit, Light, RoomSheet
from scout.values import Figure, Many, Name, Said, Word, said

# Assumed of a stand or a head nobody measured (common practice), and said so wherever it is used.
STAND_MIN_M, STAND_MAX_M, HEAD_M = 1.1, 2.6, 0.35
_WORDS = {
    "key": {"key"},
    "fill": {"fill", "filler"},
    "back": {"back", "backlight", "rim", "hair", "kicker"},
}


@dataclass(frozen=True)
class Roles:
    """The lights of a kit by what they do; None when the kit has none left for it. `notes`: what was
    taken of them.
    """

    key: Light | None
    fill: Light | None
    back: Light | None
    others: tuple[Light, ...]
    notes: tuple[Said, ...]


def roles(
    lights: Sequence[Light], subject_m: Sequence[float] | None, camera_m: Sequence[float] | None
) -> Roles:
    """Key, fill and back of a kit: by id where the ids say so, then by where a light is pinned,
    then by strength and softness.
    """
    found: dict[str, Light] = {}
    left = list(lights)
    for role, words in _WORDS.items():
        named = [light for light in left if words & set(re.split(r"[^a-z]+", light.id.casefold()))]
        exact = [light for light in named if light.id.casefold() in words]
        if named:
            found[role] = (exact or named)[0]
            left.remove(found[role])
    taken: list[Said] = []

    def take(role: str, light: Light) -> None:
        found[role] = light
        left.remove(light)
        taken.append(said("fit.light_as", light=Name(light.id), part=Word("part", role)))

    if "back" not in found and subject_m is not None and camera_m is not None:
        behind = [
            light
            for light in left
            if light.at_m is not None and _is_behind(light.at_m, subject_m, camera_m)
        ]
        if behind:
            take("back", behind[0])
    left.sort(key=lambda light: -_strength(light))
    if "key" not in found and left:
        take("key", left[0])
    if "fill" not in found and left:
        several = "back" not in found and len(left) > 1
        softest = max(left[:2], key=lambda light: light.soft_width_m or 0.0) if several else left[0]
        take("fill", softest)
    if "back" not in found and left:
        take("back", left[0])
    notes = (said("fit.parts_taken", parts=Many(tuple(taken))),) if taken else ()
    return Roles(found.get("key"), found.get("fill"), found.get("back"), tuple(left), notes)


def foot_m(kit: Kit | None) -> float:
    """Across the tips of a light stand's legs: the widest of the kit's that are measured, for which
    light goes on which stand nobody records; else as common practice has it.
    """
    stands = () if kit is None else kit.stands or ()
    return max(
        (stand.foot_m for stand in stands if stand.foot_m is not None), default=2.0 * STAND_RADIUS_M
    )


def plan_lamp(
    light: Light, subject_m: Sequence[float], foot_m: float = 2.0 * STAND_RADIUS_M
) -> tuple[PlanLamp, tuple[Said, ...]]:
    """What the plan needs of a light on a stand so wide at its foot, and what was assumed of it."""
    name = Name(light.id)
    assumed: list[Said] = []
    if light.at_m is not None and (light.stand_min_m is None or light.stand_max_m is None):
        low = light.at_m[2] if light.stand_min_m is None else light.stand_min_m
        high = light.at_m[2] if light.stand_max_m is None else light.stand_max_m
        low, high = min(low, high), max(low, high)  # pinned there, so the stand does it
    else:
        low = (
            light.stand_min_m
            if light.stand_min_m is not None
            else min(STAND_MIN_M, light.stand_max_m or STAND_MIN_M)
        )
        high = light.stand_max_m if light.stand_max_m is not None else max(STAND_MAX_M, low)
        if light.stand_min_m is None or light.stand_max_m is None:
            reach = {"low": Figure(low, "m"), "high": Figure(high, "m")}
            assumed.append(said("fit.stand_taken", light=name, **reach))
    head = light.head_m
    if head is None:
        head = HEAD_M
        assumed.append(said("fit.head_taken", light=name, head=Figure(HEAD_M, "m")))
    intensity: float | None = light.known_lux_at_1m
    assumed += light.photometry_words
    share = 1.0
    if light.at_m is not None and light.aim_m is not None:
        axis = np.subtract(light.aim_m, light.at_m)
        angle = between_deg(axis, np.subtract(subject_m, light.at_m))
        if angle > 0.5:
            if light.beam_deg is None:
                intensity = None
                assumed.append(said("fit.beam_unknown", light=name))
            else:
                share = float(beam_share(angle, light.beam_deg))
                assumed.append(said("fit.off_axis", light=name, angle=Figure(angle, "deg")))
    pinned = None if light.at_m is None else (light.at_m[0], light.at_m[1], light.at_m[2])
    return PlanLamp(
        Lamp(low, high, head, light.soft_width_m or 0.0, foot_m=foot_m), intensity, pinned, share
    ), tuple(assumed)


def _strength(light: Light) -> float:
    return light.known_lux_at_1m or 0.0


def _is_behind(
    at_m: Sequence[float], subject_m: Sequence[float], camera_m: Sequence[float]
) -> bool:
    away, towards = np.subtract(at_m, subject_m)[:2], np.subtract(camera_m, subject_m)[:2]
    return float(away @ towards) < -0.17 * float(
        np.linalg.norm(away) * np.linalg.norm(towards)
    )  # more than 100 degrees from the camera


def between_deg(one: ArrayLike, other: ArrayLike) -> float:
    """The angle between two ways in space; 0 where one of them has no length."""
    a, b = np.asarray(one), np.asarray(other)
    sizes = float(np.linalg.norm(a) * np.linalg.norm(b))
    if sizes < 1e-9:
        return 0.0
    return float(np.degrees(np.arccos(np.clip(float(a @ b) / sizes, -1.0, 1.0))))


def lights_by_id(sheet: RoomSheet) -> dict[str, Light]:
    """The kit's lights by their names."""
    kit = sheet.kit
    return {} if kit is None else {light.id: light for light in kit.lights or ()}
