"""One light of the plan as a row: key, fill and back, with what each gives up and why."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.assess.answers import PlanLight
from scout.assess.fit.reasons import against, both, no_place, what_is_lost
from scout.assess.stage.floor import Ground
from scout.calc.fit.plan.planned import Placed, PlanLamp
from scout.calc.fit.plan.search import RATIO_TOLERANCE_STOPS, NoSpot, Spot
from scout.calc.fit.stand.lights import Stage
from scout.calc.fit.stand.standing import OF_PARTS, blocked
from scout.calc.geometry import inside
from scout.records.sheet import Light
from scout.values import Figure, Said, said


def unless_unknown(fits: bool | None) -> bool | None:
    """A fault found in a place: it does not fit, where that can be told at all."""
    return None if fits is None else False


def light_row(
    stage: Stage,
    floor: Ground,
    light: Light,
    lamp: PlanLamp,
    placed: Placed,
    *,
    goal: tuple[float, float] | None = (45.0, 0.0),
) -> PlanLight:
    """One light of the plan. `goal`: round from the lens, and how far off that needs no word (a back
    light is never dead behind); None: neither that nor the height matters.
    """
    spot = placed.spot
    if isinstance(spot, NoSpot):
        return PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    works = spot.near and not set(placed.reasons) - {"frame", "lead"}
    aim = light.aim_m if lamp.pinned_m is not None and light.aim_m is not None else stage.subject_m
    row = PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=aim,
        fits=works,
        works=works,
        lux=placed.lux,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
        dim_stops=placed.dim_stops,
        short_stops=placed.short_stops,
        clear_from_mm=spot.clear_from_mm,
    )
    if lamp.pinned_m is not None:
        if "wall" in placed.reasons and "sight" in placed.reasons and not _on_floor(stage, spot):
            return replace(row, fits=None, works=None, unknown=said("fit.pinned_outside"))
        faults = both(
            *(
                against(reason, stage, lamp.lamp, floor.exits, walled=floor.walled)
                for reason in placed.reasons
            ),
            None if spot.near else said("fit.pinned_off"),
        )
        why = None if faults is None else said("fit.pinned", against=faults)
    else:
        lost = what_is_lost(
            spot,
            stage,
            lamp.lamp,
            floor.exits,
            walled=floor.walled,
            round_matters=goal is not None and abs(spot.off_across_deg) > goal[1],
            height_matters=goal is not None,
        )
        why = both(
            lost,
            said("fit.head_between") if "beam" in placed.reasons else None,
            _tight(stage, lamp, spot),
        )
    row = replace(row, why=why)
    if not stage.views:
        unseen = said("fit.frame_unknown")
        return replace(row, fits=None if works else False, unknown=unseen)
    return row


def _tight(stage: Stage, lamp: PlanLamp, spot: Spot) -> Said | None:
    """A word where a stand fits by its shape alone: its legs have to be turned for it."""
    view = next((one for one in stage.views if one.focal_length_mm == spot.clear_from_mm), None)
    held = blocked(replace(stage, stood=()), lamp.lamp, spot.at_m, view)
    return said("fit.tight") if any(bool(held[name]) for name in OF_PARTS) else None


def _on_floor(stage: Stage, spot: Spot) -> bool:
    return bool(inside(stage.space.plan_m, np.asarray(spot.at_m[:2])))


def key_row(
    stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, placed: Placed, needed: float | None
) -> PlanLight:
    row = light_row(stage, floor, light, lamp, placed)
    if placed.lux is not None and placed.lux > 0 and needed is not None:
        over = float(np.log2(placed.lux / needed))
        row = replace(row, dim_stops=max(over, 0.0), short_stops=max(-over, 0.0))
    return row


def with_key(row: PlanLight, key: PlanLight) -> PlanLight:
    """A light that goes with the key: dimmed as much more as the key is dimmed to what the camera
    needs.
    """
    if row.dim_stops is None or row.short_stops is None:
        return row
    net = row.dim_stops - row.short_stops + (key.dim_stops or 0.0)
    return replace(row, dim_stops=max(net, 0.0), short_stops=max(-net, 0.0))


def fill_row(
    stage: Stage,
    floor: Ground,
    light: Light,
    lamp: PlanLamp,
    placed: Placed,
    key: PlanLight,
    ratio: float,
) -> PlanLight:
    """The fill, with a word where it is too weak for the ratio."""
    row = with_key(light_row(stage, floor, light, lamp, placed, goal=None), key)
    short = placed.short_stops
    if short is None or short <= RATIO_TOLERANCE_STOPS:
        return row
    if row.short_stops is not None and row.short_stops <= RATIO_TOLERANCE_STOPS:
        dim_key = said("fit.dim_key", short=Figure(short, "stops"), ratio=Figure(ratio, "ratio"))
        return replace(row, why=both(row.why, dim_key))
    left = row.short_stops if row.short_stops is not None else short
    weak = said(
        "fit.weak_fill",
        short=Figure(left, "stops"),
        ratio=Figure(ratio, "ratio"),
    )
    return replace(row, fits=unless_unknown(row.fits), why=both(row.why, weak))
